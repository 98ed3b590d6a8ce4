/** What was read, set or lifted on one walk stands in one entry of the diary, which opens to its parts. Pure. */
import { type DiaryView, type Entry, momentOf, worst } from './model';

/** Longer than this between two of them is another walk. Our choice, no source. */
const SAME_WALK_MS = 90 * 60_000;

export type Kind = 'read' | 'set' | 'lifted';

/** What of it is gathered; undefined for what always stands alone. */
export function kindOf({ type, body }: DiaryView): Kind | undefined {
  if (type === 'temperature') return 'read';
  if (type !== 'trap_catch') return undefined;
  return body.observed_at ? 'lifted' : 'set';
}

/** Entries of one day, the latest first; those of one kind and one walk become one, at the time of its last part. */
export function together(entries: readonly Entry[]): Entry[] {
  const open = new Map<Kind, Entry[]>();
  const walks: Entry[][] = [];
  for (const entry of entries) {
    const kind = kindOf(entry.view);
    const walk = kind && open.get(kind);
    const last = walk?.at(-1);
    if (walk && last && Date.parse(last.at) - Date.parse(entry.at) <= SAME_WALK_MS) walk.push(entry);
    else {
      const begun = [entry];
      walks.push(begun);
      if (kind) open.set(kind, begun);
    }
  }
  return walks.flatMap((walk) => (walk.length > 1 ? [asOne(walk)] : walk));
}

function asOne(walk: readonly Entry[]): Entry {
  const [latest] = walk as [Entry, ...Entry[]];
  const parts = walk.map(({ view }) => view).reverse();
  return {
    view: parts[0] as DiaryView,
    group: latest.group,
    at: latest.at,
    standing: worst(walk.map(({ standing }) => standing)),
    counts: [],
    parts,
  };
}

export interface Extreme {
  view: DiaryView;
  value: unknown;
  celsius: number;
}

/** The lowest and the highest that the thermometers said; what is now counts where no minimum or maximum was read. */
export function extremes(parts: readonly DiaryView[], inCelsius: (value: unknown) => number | undefined) {
  const read = (name: 'min' | 'max'): Extreme[] =>
    parts.flatMap((view) => {
      const value = view.body[name] ?? view.body.current;
      const celsius = inCelsius(value);
      return celsius === undefined ? [] : [{ view, value, celsius }];
    });
  const lowest = read('min').reduce<Extreme | undefined>(
    (a, b) => (a && a.celsius <= b.celsius ? a : b),
    undefined,
  );
  const highest = read('max').reduce<Extreme | undefined>(
    (a, b) => (a && a.celsius >= b.celsius ? a : b),
    undefined,
  );
  return { lowest, highest };
}

/** Wireworms and beetles of traps that were lifted; undefined where one was lifted by two people, or none says a number. */
export function caught(parts: readonly DiaryView[]): { wireworms?: number; beetles?: number } | undefined {
  if (new Set(parts.map(({ body }) => body.station_id)).size < parts.length) return undefined;
  const found: { wireworms?: number; beetles?: number } = {};
  for (const { body } of parts) {
    if (body.state !== 'counted' && body.state !== 'none_found') continue;
    const what = typeof body.beetles === 'number' ? 'beetles' : 'wireworms';
    found[what] = (found[what] ?? 0) + Number(body[what] ?? 0);
  }
  return Object.keys(found).length > 0 ? found : undefined;
}

/** How many of them say nothing of what is in the ground: not lifted, or spoiled. */
export function missed(parts: readonly DiaryView[]): number {
  return parts.filter(({ body }) => body.state === 'not_turned' || body.state === 'spoiled').length;
}

/** In the order in which they were read; of one moment by name. */
export function inOrder(parts: readonly DiaryView[], label: (view: DiaryView) => string): DiaryView[] {
  const at = (view: DiaryView) => Date.parse(momentOf(view) ?? '');
  return [...parts].sort(
    (a, b) => at(a) - at(b) || label(a).localeCompare(label(b), undefined, { numeric: true }),
  );
}
