import { list, listBy, newId, saveDraft, saveMany } from '../../storage';
import { t } from '../../text';
import { momentAt } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { asItem } from '../forms/write';
import type { SheetGround } from '../paper/load';
import type { SheetKind, SheetRow } from '../paper/model';
import type { Found } from './check';
import type { Keyed, Tally } from './model';
import { alreadyThere, earlierRounds, idsFor, itemsOf, setBefore } from './records';

export interface Sheet {
  kind: SheetKind;
  rows: readonly SheetRow[];
  keyed: Keyed;
  facts: PlotFacts;
  ground: SheetGround;
}

export interface Saved {
  n: number;
  /** Boards that have two counts now. */
  n_double: number;
}

/** What this phone has of the same day: rounds with their counts, lifts, readings. */
export async function lookUp({ kind, rows, keyed, facts, ground }: Sheet): Promise<Found> {
  const zone = facts.time_zone;
  const days = { from: keyed.day, to: keyed.day };
  if (kind === 'dawn') {
    const rounds = await list('round', days);
    const counts = (await Promise.all(rounds.map(({ id }) => listBy('slug_count', 'round_id', id)))).flat();
    return { earlier: earlierRounds(keyed, rows, rounds, counts, zone), already: [] };
  }
  const at = momentAt(keyed.day, keyed.clock, zone);
  const records =
    kind === 'trap' ? ground.catches : (await list('temperature', days)).map(({ body }) => body);
  return { earlier: [], already: alreadyThere(keyed, kind, rows, records, at, zone) };
}

/**
 * All records of the sheet in one strict transaction. Their ids are kept with the draft before, so that a phone
 * that dies between saving and forgetting the draft makes the same records once more and not others.
 */
export async function saveSheet(
  sheet: Sheet & { day: string | undefined; tally: Tally },
  join: string | undefined,
): Promise<Saved> {
  const { kind, rows, keyed, facts, ground, tally } = sheet;
  const observedAt = momentAt(keyed.day, keyed.clock, facts.time_zone);
  const set =
    kind === 'trap' ? setBefore(rows, ground.catches, observedAt, facts.time_zone) : new Map<string, never>();
  const ids = keyed.ids ?? idsFor(rows, set, newId);
  await saveDraft(`keying:${kind}:${sheet.day ?? 'open'}`, { ...keyed, ids });
  const differs = kind !== 'readings' && tally.written !== undefined && tally.difference !== 0;
  const items = itemsOf(
    keyed,
    {
      kind,
      rows,
      observed_at: observedAt,
      unit: facts.unit,
      ...(join ? { join } : {}),
      why: { dry: t('round.not_valid_dry'), disturbed: t('round.not_valid_disturbed') },
      origin: differs
        ? t('keying.origin_sum', { written: tally.written ?? 0, total: tally.total })
        : t('keying.origin'),
      set,
    },
    ids,
  );
  const before = join ? await listBy('slug_count', 'round_id', join) : [];
  const counted = new Set(before.map(({ body }) => body.station_id));
  await saveMany(items.map(({ type, id, set: fields }) => asItem(type, id, fields)));
  const n_double = items.filter(({ set: fields }) => counted.has(String(fields.station_id))).length;
  return { n: items.length, n_double: join ? n_double : 0 };
}
