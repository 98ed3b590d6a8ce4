/** When and where a warning holds, and by which icon and deed it is known: words only. */
import type { Warning } from '../../generated/api';
import type { IconName } from '../../parts';
import { decimals, language, t } from '../../text';
import { dayPlus, dayWords, localClock, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';

/** By the first word of the rule's name that is known. */
const ICONS: readonly [RegExp, IconName][] = [
  [/frost|cold/, 'frost'],
  [/evening/, 'moon'],
  [/treatment/, 'hand'],
  [/slug|surge|threshold|round/, 'plank'],
  [/wireworm|trap/, 'trap'],
  [/heat|hot|vent/, 'sun'],
  [/soil|plant|nematode|blight|reading|thermometer/, 'thermometer'],
];

export function iconOf(rule: string | undefined): IconName {
  return ICONS.find(([words]) => words.test(rule ?? ''))?.[1] ?? 'caution';
}

/** A window longer than this only says that nobody knows when it will be over. */
const LONG_MS = 60 * 86_400_000;

/** "tonight 20:04 to 07:12", "Tue 12 May to Sat 16 May": short where both ends are near. */
export function windowWords(
  body: Pick<Warning, 'window_start' | 'window_end'>,
  now: Date,
  timeZone: string,
): string {
  const { window_start: start, window_end: end } = body;
  if (!start || !end) return '';
  const today = localDay(now, timeZone);
  const first = localDay(start, timeZone);
  const last = localDay(end, timeZone);
  const from = localClock(start, timeZone);
  const to = localClock(end, timeZone);
  if (Date.parse(end) - Date.parse(start) > LONG_MS)
    return t('now.when_since', { day: dayWords(first, today) });
  const night = last === dayPlus(first, 1) && from >= '12:00' && to <= '12:00';
  const morning = first === last && to <= '12:00';
  if (night && first === today) return t('now.when_tonight', { from, to });
  if (night) {
    return last === today
      ? t('now.when_last_night', { from, to })
      : t('now.when_night', { day: dayWords(first, today), from, to });
  }
  if (first !== last) return t('now.when_days', { from: dayWords(first, today), to: dayWords(last, today) });
  if (morning && first === dayPlus(today, 1)) return t('now.when_tomorrow', { from, to });
  return first === today
    ? t('now.when_today', { from, to })
    : t('now.when_day', { day: dayWords(first, today), from, to });
}

/** Labels of the places it is about; the headline has said it where there are many. */
export function placesOf(
  body: Pick<Warning, 'place_ids'>,
  labels: ReadonlyMap<string, string>,
  most = 3,
): string {
  const known = (body.place_ids ?? []).flatMap((id) => labels.get(id) ?? []);
  if (known.length <= most) return known.join(', ');
  return t('now.where_more', { some: known.slice(0, most).join(', '), n: known.length - most });
}

export function rankWords(body: Pick<Warning, 'severity' | 'certainty'>): string {
  return [body.severity, body.certainty]
    .flatMap((word) => (word && word !== 'Unknown' ? [t(`now.cap_${word}`)] : []))
    .join(', ');
}

export type Deed = 'covered' | 'vented' | 'done';

/** What one does about it; undefined where there is nothing to be done on the plot. */
export function deedOf(rule: string | undefined): Deed | undefined {
  const name = rule ?? '';
  if (/^(backup|certificate|phone|reading|round|evening|trap|treatment|wireworm)/.test(name))
    return undefined;
  if (/frost|cold/.test(name)) return 'covered';
  return /heat|hot/.test(name) ? 'vented' : 'done';
}

export type Goal = 'evening' | 'traps' | 'readings' | 'sync' | 'findings';

/** The screen on which it is dealt with. */
const GOALS: readonly [RegExp, Goal][] = [
  [/^evening/, 'evening'],
  [/^trap/, 'traps'],
  [/^reading/, 'readings'],
  [/^phone/, 'sync'],
  [/^(surge|threshold)/, 'findings'],
];

export function goOf(rule: string | undefined): Goal | undefined {
  return GOALS.find(([words]) => words.test(rule ?? ''))?.[1];
}

/** Which question the outcome answers; undefined where there is nothing to judge. */
export function outcomeOf(rule: string | undefined): 'froze' | 'came' | undefined {
  const name = rule ?? '';
  if (/frost/.test(name)) return 'froze';
  return /surge|threshold|heat|blight/.test(name) ? 'came' : undefined;
}

/** "Tue 12 May 21:04" by the plot's clock. */
export function whenWords(at: string | undefined, facts: Pick<PlotFacts, 'time_zone'>): string {
  if (!at) return '';
  const today = localDay(new Date(), facts.time_zone);
  return `${dayWords(localDay(at, facts.time_zone), today)} ${localClock(at, facts.time_zone)}`;
}

/** A number stays with its unit when a line is broken. */
export function glued(text: string): string {
  return text.replace(/(\d) (%|°[CF])/g, '$1\u00a0$2');
}

export interface Figure {
  value: string;
  words: string;
}

/** The one number to be read from afar, where the warning has one: a chance, or how many times the usual. */
export function figureOf({ numbers }: Pick<Warning, 'numbers'>): Figure | undefined {
  const p = numbers?.p;
  const times = numbers?.times_usual;
  if (typeof p === 'number') return { value: percent(p), words: t('now.figure_chance') };
  if (typeof times === 'number')
    return { value: `${decimals(times, times < 10 ? 1 : 0)}\u00a0×`, words: t('now.figure_usual') };
  return undefined;
}

function percent(p: number): string {
  return `${Math.round(100 * Math.min(0.99, Math.max(0.01, p)))}\u00a0%`;
}

/** For the `lang` of what the server has written, which it does in English: so that it is read aloud as such. */
export function asWritten(): string | undefined {
  return language() === 'en' ? undefined : 'en';
}
