/** The records that a keyed-in sheet becomes, and what is there already of the same day. Pure. */
import { numberOn } from '../../domain/double_counts';
import { whyNotValid } from '../../domain/round_model';
import type { RecordType } from '../../generated/api';
import { daysBetween, localDay } from '../forms/local_time';
import { numberOf } from '../forms/typed_number';
import type { SheetKind, SheetRow } from '../paper/model';
import type { TemperatureUnit } from '../readings/model';
import { type Catch, trapsNow } from '../traps/model';
import { isTouched, type Keyed, rowSays, textIn } from './model';

export interface Item {
  type: RecordType;
  id: string;
  set: Record<string, unknown>;
}

export interface About {
  kind: SheetKind;
  rows: readonly Pick<SheetRow, 'id' | 'beetles'>[];
  /** The moment on the sheet, with the plot's offset. */
  observed_at: string;
  unit: TemperatureUnit;
  /** The round to put the counts into; absent: a round of its own. */
  join?: string;
  /** Words for a round that does not count in means. */
  why: Record<'dry' | 'disturbed', string>;
  /** Words that say where it came from. */
  origin: string;
  /** Traps in the ground at the moment of the sheet. */
  set: ReadonlyMap<string, { set_at: string; catch_id?: string }>;
}

/** Ids for every record the sheet may become, under its row's id or `round`; a trap that lies has its record. */
export function idsFor(
  rows: readonly { id: string }[],
  set: About['set'],
  newId: () => string,
): Record<string, string> {
  const keys = ['round', ...rows.map((row) => row.id)];
  return Object.fromEntries(keys.map((key) => [key, set.get(key)?.catch_id ?? newId()]));
}

export function itemsOf(keyed: Keyed, about: About, ids: Readonly<Record<string, string>>): Item[] {
  const rows = about.rows.filter((row) => isTouched(keyed, about.kind, row.id));
  if (about.kind === 'readings')
    return rows.map((row) => ({
      type: 'temperature',
      id: idOf(ids, row.id),
      set: reading(keyed, about, row.id),
    }));
  if (about.kind === 'trap')
    return rows.map((row) => ({
      type: 'trap_catch',
      id: idOf(ids, row.id),
      set: lift(keyed, about, row),
    }));
  const roundId = about.join ?? idOf(ids, 'round');
  const counts = rows.map(
    (row): Item => ({
      type: 'slug_count',
      id: idOf(ids, row.id),
      set: count(keyed, about, row.id, roundId),
    }),
  );
  return about.join ? counts : [{ type: 'round', id: roundId, set: roundSet(keyed, about) }, ...counts];
}

function idOf(ids: Readonly<Record<string, string>>, key: string): string {
  const id = ids[key];
  if (id === undefined) throw new Error(`no id for ${key}`);
  return id;
}

function roundSet(keyed: Keyed, about: About): Record<string, unknown> {
  const { surface, disturbed } = keyed;
  const low = numberOf(keyed.night_low);
  const why = whyNotValid({ disturbed, ...(surface ? { surface } : {}) });
  return {
    kind: 'dawn',
    observed_at: about.observed_at,
    started_at: about.observed_at,
    finished_at: about.observed_at,
    observer: keyed.observer.trim(),
    disturbed,
    valid: why === undefined,
    ...(why ? { not_valid_reason: about.why[why] } : {}),
    ...(surface ? { surface } : {}),
    ...(low === undefined ? {} : { night_low: { value: low, unit: about.unit } }),
    note: about.origin,
  };
}

function count(keyed: Keyed, about: About, row: string, roundId: string): Record<string, unknown> {
  const eggs = textIn(keyed, row, 'eggs');
  return {
    round_id: roundId,
    station_id: row,
    ...rowSays(keyed, row),
    ...(eggs === '' ? {} : { egg_clusters: Number(eggs) }),
    observed_at: about.observed_at,
    observer: keyed.observer.trim(),
  };
}

function lift(
  keyed: Keyed,
  about: About,
  { id: row, beetles }: About['rows'][number],
): Record<string, unknown> {
  const says = rowSays(keyed, row);
  const searched = says?.count !== undefined;
  const soil = numberOf(textIn(keyed, row, 'soil'));
  const alike = (col: string): number => Number(textIn(keyed, row, col) || '0');
  const setAt = about.set.get(row)?.set_at;
  return {
    station_id: row,
    ...(setAt ? { set_at: setAt } : {}),
    observed_at: about.observed_at,
    state: says?.state,
    ...(searched && beetles ? { beetles: says.count } : {}),
    ...(searched && !beetles
      ? {
          wireworms: says.count,
          millipedes: alike('millipedes'),
          leatherjackets: alike('leatherjackets'),
          centipedes: alike('centipedes'),
        }
      : {}),
    rebaited: textIn(keyed, row, 'rebaited') === 'y',
    ...(soil === undefined ? {} : { soil: { value: soil, unit: about.unit } }),
    observer: keyed.observer.trim(),
    note: about.origin,
  };
}

function reading(keyed: Keyed, about: About, row: string): Record<string, unknown> {
  const values = ['current', 'max', 'min'].flatMap((slot) => {
    const value = numberOf(textIn(keyed, row, slot));
    return value === undefined ? [] : [[slot, { value, unit: about.unit }] as const];
  });
  return {
    station_id: row,
    observed_at: about.observed_at,
    ...Object.fromEntries(values),
    reset_done: textIn(keyed, row, 'reset_done') === 'y',
    observer: keyed.observer.trim(),
    note: about.origin,
  };
}

/** Which traps lay in the ground when the sheet was filled, whatever was lifted since. */
export function setBefore(
  rows: readonly { id: string; label: string }[],
  catches: readonly Catch[],
  at: string,
  timeZone: string,
): Map<string, { set_at: string; catch_id?: string }> {
  const moment = Date.parse(at);
  const known = catches.filter((one) => Date.parse(one.observed_at ?? one.set_at ?? '') < moment);
  const { in_ground } = trapsNow([...rows], known, new Date(moment), timeZone);
  return new Map(
    in_ground.map(({ trap, set_at, catch_id }) => [trap.id, { set_at, ...(catch_id ? { catch_id } : {}) }]),
  );
}

/** A round of the same day that has counts on boards of the sheet. */
export interface Earlier {
  round_id: string;
  observed_at: string;
  observers: string[];
  /** Boards counted there and on the sheet. */
  n_shared: number;
  /** Of these, how many say the same. */
  n_same: number;
}

export interface RoundOf {
  id: string;
  body: { kind?: string; observed_at?: string };
}
export interface CountOf {
  body: { round_id?: string; station_id?: string; state?: string; count?: number; observer?: string };
}

/** Rounds of the day of the sheet, fullest overlap first. */
export function earlierRounds(
  keyed: Keyed,
  rows: readonly { id: string }[],
  rounds: readonly RoundOf[],
  counts: readonly CountOf[],
  timeZone: string,
): Earlier[] {
  const here = rounds.filter(
    ({ body }) =>
      body.kind === 'dawn' && body.observed_at && localDay(body.observed_at, timeZone) === keyed.day,
  );
  const found = here.map((round): Earlier => {
    const own = counts.filter((count) => count.body.round_id === round.id);
    const on = (row: string) => own.filter((count) => count.body.station_id === row);
    const shared = rows.filter((row) => isTouched(keyed, 'dawn', row.id) && on(row.id).length > 0);
    return {
      round_id: round.id,
      observed_at: round.body.observed_at ?? '',
      observers: [...new Set(own.flatMap(({ body }) => (body.observer ? [body.observer] : [])))],
      n_shared: shared.length,
      n_same: shared.filter((row) => on(row.id).some(({ body }) => saysTheSame(keyed, row.id, body))).length,
    };
  });
  return found.sort((a, b) => b.n_shared - a.n_shared);
}

function saysTheSame(keyed: Keyed, row: string, body: CountOf['body']): boolean {
  const says = rowSays(keyed, row);
  return says !== undefined && says.state === body.state && says.count === numberOn(body);
}

/** Two readings of one thermometer this close together are rather one reading written down twice. Our choice. */
const SAME_READING_MS = 2 * 3_600_000;

/** Rows of a trap or thermometer sheet of which a record of the same time is there already. */
export function alreadyThere(
  keyed: Keyed,
  kind: 'trap' | 'readings',
  rows: readonly { id: string; label: string }[],
  records: readonly { station_id?: string; observed_at?: string }[],
  at: string,
  timeZone: string,
): string[] {
  const near = (when: string): boolean =>
    kind === 'trap'
      ? daysBetween(localDay(when, timeZone), keyed.day) === 0
      : Math.abs(Date.parse(when) - Date.parse(at)) <= SAME_READING_MS;
  return rows
    .filter((row) => isTouched(keyed, kind, row.id))
    .filter((row) =>
      records.some(
        (one) => one.station_id === row.id && one.observed_at !== undefined && near(one.observed_at),
      ),
    )
    .map((row) => row.label);
}
