import { numberOn, standing } from '../../domain/double_counts';
import {
  afterTap,
  type Board,
  type Counter,
  type CountView,
  isMine,
  type Tap,
  undoing,
  type Written,
} from '../../domain/round_model';
import { type Clumping, clumpingOf, LEARN_FROM, type Usual, usualOf } from '../../domain/stop_advice';
import type { Round, SlugCount } from '../../generated/api';
import {
  type Ask,
  changes,
  get,
  type Known,
  list,
  listBy,
  newId,
  oneByOne,
  type Shown,
  save,
  saveMany,
  together,
  type View,
} from '../../storage';
import { localDay, withOffset } from '../forms/local_time';
import { askFacts, factsOf, keepZone, type PlotFacts } from '../forms/plot_facts';
import { type Stand, standKey } from './walk';

/** Days back in which valid rounds tell the plot's usual. */
const USUAL_DAYS = 120;
const DAY_MS = 86_400_000;

/** Slug boards that lie on the plot on `day`. */
export async function boardsOn(day: string, ask: Ask = oneByOne): Promise<Board[]> {
  const [stations, places] = await Promise.all([ask.list('station'), ask.list('place')]);
  return boardsOf(stations, places, (retired) => retired <= day);
}

function boardsOf(
  stations: readonly View<'station'>[],
  places: readonly View<'place'>[],
  isGone: (retiredOn: string) => boolean,
): Board[] {
  const names = new Map(places.map((place) => [place.id, place.body.label ?? '']));
  return stations
    .filter(({ body }) => body.kind === 'slug_board' && !(body.retired_on && isGone(body.retired_on)))
    .map(({ id, body }) => ({
      id,
      label: body.label ?? '',
      place_id: body.place_id,
      place: names.get(body.place_id ?? '') ?? '',
      walk_order: body.walk_order ?? 0,
    }));
}

export async function countsOf(roundId: string): Promise<CountView[]> {
  return await listBy('slug_count', 'round_id', roundId);
}

/** All that a round needs before its first board can be counted. */
export interface Opened {
  facts: PlotFacts;
  round: View<'round'> | undefined;
  boards: Board[];
  counts: Known<CountView[]>;
  me: Counter;
  /** Where its person stood before the app was closed. */
  stand: Stand | undefined;
}

/**
 * Whether a local day was reached at a moment. The browser's time zone table takes longer to come up than the whole
 * reading; it is asked only when the day of Greenwich, from which a local one differs by one at most, is too near.
 */
export function isReached(day: string, at: Date, timeZone: string): boolean {
  const near = (days: number): string => new Date(at.getTime() + days * DAY_MS).toISOString().slice(0, 10);
  if (day <= near(-1)) return true;
  return day <= near(1) && day <= localDay(at, timeZone);
}

/** Everything is asked for at once: one after the other the disk would be waited for five times. */
export async function openRound(id: string): Promise<Opened> {
  const told = changes.told();
  const found = await together(async (ask) => {
    const [here, stations, places, round, counts, stand] = await Promise.all([
      askFacts(ask),
      ask.list('station'),
      ask.list('place'),
      ask.get('round', id),
      ask.countsOfRound(id),
      ask.draft<Stand>(standKey(id)),
    ]);
    return { here, stations, places, round, counts, stand };
  });
  await keepZone(found.here);
  const facts = factsOf(found.here);
  const { round } = found;
  const at = new Date(round?.body.observed_at ?? Date.now());
  return {
    facts,
    round: round?.deleted ? undefined : round,
    boards: boardsOf(found.stations, found.places, (retired) => isReached(retired, at, facts.time_zone)),
    counts: { value: found.counts, told },
    me: { observer: facts.observer, device_id: found.here.paired?.device_id },
    stand: found.stand,
  };
}

/** The person named on this phone, and the phone itself as the server knows it. */
export async function counterHere(observer: string, ask: Ask): Promise<Counter> {
  const paired = await ask.meta<{ device_id?: string }>('paired');
  return { observer, device_id: paired?.device_id };
}

export interface Before {
  usual: Usual | undefined;
  clumping: Clumping | undefined;
}

/** What earlier valid rounds say: the plot's usual, and how its slugs clump. */
export async function beforeRound(round: View<'round'>, timeZone: string): Promise<Before> {
  const at = round.body.observed_at ?? new Date().toISOString();
  const to = localDay(at, timeZone);
  const from = localDay(new Date(Date.parse(at) - USUAL_DAYS * DAY_MS), timeZone);
  const [rounds, counts] = await Promise.all([list('round', { from, to }), list('slug_count', { from, to })]);
  const earlier = rounds.filter(
    ({ id, body }) =>
      id !== round.id &&
      body.kind === 'dawn' &&
      body.valid !== false &&
      Date.parse(body.observed_at ?? '') < Date.parse(at),
  );
  const numbers = numbersByRound(counts);
  const found = earlier
    .sort((a, b) => Date.parse(a.body.observed_at ?? '') - Date.parse(b.body.observed_at ?? ''))
    .slice(-LEARN_FROM)
    .map(({ id }) => numbers.get(id) ?? []);
  return { usual: usualOf(found), clumping: clumpingOf(found) };
}

/** One number a board for each round, double counts and disputed ones left out. */
function numbersByRound(counts: readonly View<'slug_count'>[]): Map<string, number[]> {
  const of = new Map<string, Map<string, View<'slug_count'>[]>>();
  for (const count of counts) {
    const round = of.get(count.body.round_id ?? '') ?? new Map<string, View<'slug_count'>[]>();
    of.set(count.body.round_id ?? '', round);
    const board = count.body.station_id ?? '';
    round.set(board, [...(round.get(board) ?? []), count]);
  }
  const found = new Map<string, number[]>();
  for (const [round, boards] of of) {
    const numbers = [...boards.values()].flatMap((views) => {
      const { one } = standing(views);
      const number = one && one.conflicts.length === 0 ? numberOn(one.body) : undefined;
      return number === undefined ? [] : [number];
    });
    found.set(round, numbers);
  }
  return found;
}

export async function startRound(observer: string, timeZone: string): Promise<string> {
  const id = newId();
  const at = withOffset(new Date(), timeZone);
  await save('round', id, { kind: 'dawn', observed_at: at, started_at: at, observer });
  return id;
}

/** One tap as it was written, with all that taking it back needs. */
export interface Done {
  record_id: string;
  board_id: string;
  before: SlugCount | undefined;
  wrote: Written;
  /** The count as it was with this tap: what another phone writes to it after is not taken back unasked. */
  shown?: Shown;
}

type PhotoRef = { sha256: string; bytes: number };

/**
 * Writes taps one after the other, each from what is stored by then, so that fast taps cannot overtake each
 * other. `write` resolves after the disk has the tap; only then may the screen show it.
 */
export class TapWriter {
  #chain: Promise<unknown> = Promise.resolve();
  /** This person's record of each board that was tapped: one look-up instead of the whole round. */
  #ids = new Map<string, string>();

  constructor(
    private readonly roundId: string,
    private readonly me: Counter,
    private readonly timeZone: string,
  ) {}

  /** `held`: photos taken before the board had a count; they go into its first record. */
  write(boardId: string, tap: Tap, held: readonly PhotoRef[] = []): Promise<Done | undefined> {
    return this.#next(async () => {
      const mine = await this.#mine(boardId);
      const tapped = afterTap(mine?.body, tap);
      if (!tapped) return undefined;
      const photos = held.length > 0 ? { photos: [...(mine?.body.photos ?? []), ...held] } : {};
      const wrote = { ...tapped, ...photos };
      const id = mine?.id ?? newId();
      this.#ids.set(boardId, id);
      const set = { ...(mine ? {} : this.#first(boardId)), ...wrote };
      await this.#save(id, set);
      const shown = { base: mine?.base ?? { rev: 0, epoch: '' }, body: { ...mine?.body, ...set } };
      return { record_id: id, board_id: boardId, before: mine?.body, wrote, shown };
    });
  }

  undo(done: Done): Promise<void> {
    return this.#next(async () => {
      const back = undoing(done.before, done.wrote);
      const { record_id: id, shown } = done;
      if (back) await saveMany([{ type: 'slug_count', id, set: back as Partial<SlugCount>, shown }]);
      else await saveMany([], [{ id, shown }]);
    });
  }

  /** Resolves when every tap so far is written. */
  settled(): Promise<void> {
    return this.#next(async () => undefined);
  }

  #first(boardId: string): SlugCount {
    return {
      round_id: this.roundId,
      station_id: boardId,
      observer: this.me.observer,
      observed_at: withOffset(new Date(), this.timeZone),
    };
  }

  async #save(id: string, set: Written): Promise<void> {
    // The contract's types know no null; on the wire null takes a field away.
    await save('slug_count', id, set as Partial<SlugCount>);
  }

  async #mine(boardId: string): Promise<CountView | undefined> {
    const id = this.#ids.get(boardId);
    const known = id && (await get('slug_count', id));
    if (known && !known.deleted) return known;
    const counts = await countsOf(this.roundId);
    return counts.find((count) => count.body.station_id === boardId && isMine(count, this.me));
  }

  #next<T>(work: () => Promise<T>): Promise<T> {
    const result = this.#chain.then(work, work);
    this.#chain = result.catch(() => undefined);
    return result;
  }
}

export interface Finish {
  /** Undefined until the person has said: a guess must not look like an observation. */
  surface: 'dry' | 'damp' | 'wet' | undefined;
  night_low: string;
  disturbed: boolean;
}

/** What finishing a round writes. */
export function finishSet(
  told: Finish,
  why: string | undefined,
  low: number | undefined,
  unit: 'degC' | 'degF',
  now: string,
  already: string | undefined,
): Partial<Round> {
  return {
    finished_at: already ?? now,
    disturbed: told.disturbed,
    valid: why === undefined,
    not_valid_reason: why ?? null,
    ...(told.surface ? { surface: told.surface } : {}),
    ...(low === undefined ? {} : { night_low: { value: low, unit } }),
  } as Partial<Round>;
}
