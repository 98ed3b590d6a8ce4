/** Noting how this phone writes numbers, days and times (kept_writing.ts); fetched once by each phone and browser. */
import { DAY, goBy, KEPT, TIME, type Writing } from './kept_writing';

/** Of one year every month and every day of the week: from the 10th on, so that a day has two figures. */
const YEAR = 2026;
const FIRST = 10;

export function learnWriting(locale: string): void {
  const writing = writingOf(locale);
  goBy(writing);
  if (!writing) return;
  try {
    localStorage.setItem(KEPT, JSON.stringify(writing));
  } catch {
    // a full phone, or storage closed to us: the formatter goes on being asked
  }
}

/** None where a day or a time is more than fixed words around plain figures, as with figures that are not Latin. */
export function writingOf(locale: string): Writing | undefined {
  const asDay = new Intl.DateTimeFormat(locale, { ...DAY, timeZone: 'UTC' });
  const asTime = new Intl.DateTimeFormat(locale, { ...TIME, timeZone: 'UTC' });
  const days = Array.from({ length: 84 }, (_, i) => {
    const month = Math.floor(i / 7);
    const first = new Date(Date.UTC(YEAR, month, FIRST)).getUTCDay();
    const n = FIRST + ((i - first + 7) % 7);
    const near = n - 7;
    return shape(asDay, 'day', [at(month, n, String(n)), near > 0 && at(month, near, String(near))]);
  });
  const hours = Array.from({ length: 24 }, (_, hour) => {
    const minute = (n: number) => ({
      ms: Date.UTC(YEAR, 0, FIRST, hour, n),
      figures: String(n).padStart(2, '0'),
    });
    return shape(asTime, 'minute', [minute(0), minute(5), minute(59)]);
  });
  const point = pointOf(locale);
  const all = [...days, ...hours, point];
  return all.includes(undefined)
    ? undefined
    : ({ of: locale, noted: Date.now(), point, days, hours } as Writing);
}

function pointOf(locale: string): string | undefined {
  const words = new Intl.NumberFormat(locale, { minimumFractionDigits: 1 }).format(123.5);
  return /^123(\D)5$/.exec(words)?.[1];
}

type Moment = { ms: number; figures: string };

function at(month: number, n: number, figures: string): Moment {
  return { ms: Date.UTC(YEAR, month, n), figures };
}

/** The words around one part, if they are the same at all these moments and the part is the figures that are expected. */
function shape(
  format: Intl.DateTimeFormat,
  part: 'day' | 'minute',
  moments: readonly (Moment | false)[],
): string | undefined {
  const found = new Set(moments.flatMap((moment) => (moment ? [around(format, part, moment)] : [])));
  return found.size === 1 ? [...found][0] : undefined;
}

/** The text is the formatter's own: of its parts some browsers write the spaces otherwise. */
function around(format: Intl.DateTimeFormat, part: string, { ms, figures }: Moment): string | undefined {
  const text = format.format(ms);
  const parts = format.formatToParts(ms);
  const nth = parts.findIndex(({ type }) => type === part);
  const begin = parts.slice(0, nth).reduce((sum, { value }) => sum + value.length, 0);
  const end = begin + figures.length;
  if (parts[nth]?.value !== figures || text.slice(begin, end) !== figures || text.includes('#'))
    return undefined;
  return `${text.slice(0, begin)}#${text.slice(end)}`;
}
