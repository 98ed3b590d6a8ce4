/** Words of a bed moved aside from the boards that lie on it, so that both can be read. Pixels of the screen. Pure. */
import { boxOf, type Corner, cornersOf, isInside, type Outline, overlaps, rectangleOf } from './geometry';
import { type Words, widthOf } from './labels';

/** Figures and small letters fill so much of a line's height. */
const LETTER_HEIGHT = 0.9;
/** A place for the words is sought in steps of so many pixels. */
const STEP = 2;
/** So much of a word's end may reach over the edge of its bed, pixels. */
const LOOSE = 2;

/** What a line of words covers, without `spare` pixels at either end. */
export function coverOf({ text, x, y, size, turn }: Words, spare = 0): Corner[] {
  const across = Math.max(1, widthOf(text, size) - 2 * spare);
  return cornersOf({ x, y, across, along: size * LETTER_HEIGHT, turn });
}

/**
 * The same words, each where nothing (`things`: outlines) lies on it: all of them together a little further along their
 * bed, or one by one. A number that finds no place stays where it was, a name is left out: a touch says it.
 */
export function clearWords(words: readonly Words[], bed: Outline, things: readonly Outline[]): Words[] {
  const covers = words.map((one) => coverOf(one));
  const around = boxOf([...bed, ...covers.flat()]);
  const near = things.filter((thing) => overlaps(boxOf(thing), around, 0));
  if (covers.every((cover) => !near.some((thing) => clash(cover, thing)))) return [...words];
  const shifts = shiftsIn(bed);
  const lines = words.map((one) => lineOn(one, bed, near));
  // What stands on the middle line of a narrow bed stays on it if it can: a name at the edge is hard to read.
  const [line] = lines;
  const along = line && lines.every((one) => one.isOnAxis([0, 0])) ? shifts.filter(line.isOnAxis) : [];
  return placed(lines, along) ?? placed(lines, shifts) ?? nearest(lines, shifts);
}

function shifted(words: Words, [dx, dy]: Corner): Words {
  return { ...words, x: words.x + dx, y: words.y + dy };
}

const isGood = (line: Line) => (by: Corner) => line.isClear(by) && line.isHeld(by);

/** All lines moved together, or each by itself so that neither lies on the other: the nearest place of the first that allows it. */
function placed(lines: readonly Line[], shifts: readonly Corner[]): Words[] | undefined {
  const together = shifts.find((by) => lines.every((line) => isGood(line)(by)));
  if (together) return lines.map((line) => shifted(line.words, together));
  const [first, second] = lines;
  if (!first || !second) return undefined;
  const seconds = shifts.filter(isGood(second));
  if (seconds.length === 0) return undefined;
  const gaps = gapsBetween(second.cover, first.cover);
  for (const one of firstsOf(first, shifts)) {
    const other = seconds.find(([dx, dy]) => isApart(gaps, dx - one[0], dy - one[1]));
    if (other) return [shifted(first.words, one), shifted(second.words, other)];
  }
  return undefined;
}

/** Ways for the first line: if it is a number and has no place on its bed, its middle at least is on it. */
function firstsOf(first: Line, shifts: readonly Corner[]): Corner[] {
  const firsts = shifts.filter(isGood(first));
  if (firsts.length === 0 && isNumber(first.words))
    firsts.push(...shifts.filter((by) => first.isOnIt(by) && first.isClear(by)), [0, 0]);
  return firsts;
}

/** Not all have a place: the first that has one, alone. */
function nearest([first, second]: readonly Line[], shifts: readonly Corner[]): Words[] {
  const [one] = first ? firstsOf(first, shifts) : [];
  if (first && one) return [shifted(first.words, one)];
  const other = second && shifts.find(isGood(second));
  return second && other ? [shifted(second.words, other)] : [];
}

function isNumber({ text }: Words): boolean {
  return /^[−\d]/u.test(text);
}

/** One line of words, and what can be asked of it for any way to move it: all is worked out once, for no move. */
interface Line {
  words: Words;
  cover: Outline;
  /** It lies on nothing. */
  isClear: (by: Corner) => boolean;
  /** It is still on its bed. A number wider than its bed may only go along it. */
  isHeld: (by: Corner) => boolean;
  /** Its middle is on the line along its bed. */
  isOnAxis: (by: Corner) => boolean;
  /** Its middle is on its bed, on the line along it. */
  isOnIt: (by: Corner) => boolean;
}

function lineOn(words: Words, bed: Outline, near: readonly Outline[]): Line {
  const cover = coverOf(words);
  const gaps = near.map((thing) => gapsBetween(cover, thing));
  const { x, y, across } = frameOf(bed);
  const off = (words.x - x) * across[0] + (words.y - y) * across[1];
  const isOnAxis = ([dx, dy]: Corner) => Math.abs(off + dx * across[0] + dy * across[1]) < 1;
  const within = (corners: Outline) => (by: Corner) =>
    corners.every((corner) => isInside([corner[0] + by[0], corner[1] + by[1]], bed));
  const isWithin = within(coverOf(words, LOOSE));
  const isNarrowWithin = within(coverOf({ ...words, text: words.text.slice(0, 1) }, LOOSE));
  const isMiddleWithin = within([[words.x, words.y]]);
  return {
    words,
    cover,
    isClear: ([dx, dy]) => gaps.every((gap) => isApart(gap, dx, dy)),
    isHeld: isWithin([0, 0]) ? isWithin : (by) => isOnAxis(by) && isNarrowWithin(by),
    isOnAxis,
    isOnIt: (by) => isOnAxis(by) && isMiddleWithin(by),
  };
}

/** Middle, direction of the long and of the short side, and half of each. */
function frameOf(bed: Outline) {
  const { left, top, right, bottom } = boxOf(bed);
  const level = {
    x: (left + right) / 2,
    y: (top + bottom) / 2,
    across: right - left,
    along: bottom - top,
    turn: 0,
  };
  const { x, y, across, along, turn } = rectangleOf(bed) ?? level;
  const angle = ((turn + (along > across ? 90 : 0)) * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const [long, short] = [Math.max(across, along) / 2, Math.min(across, along) / 2];
  return { x, y, long, short, lengthways: [cos, sin] as Corner, across: [-sin, cos] as Corner };
}

/** Steps along and across beds of a size, the shortest first; most beds of a plot have one of few sizes. */
const stepsOf = new Map<string, readonly Corner[]>();

/** Ways to move something on a bed, the shortest first. */
function shiftsIn(bed: Outline): Corner[] {
  const { long, short, lengthways, across } = frameOf(bed);
  const [n, m] = [Math.floor(long / STEP), Math.floor(short / STEP)];
  const key = `${n} ${m}`;
  const known = stepsOf.get(key);
  const steps = known ?? stepsIn(n, m);
  if (!known) stepsOf.set(key, steps);
  return steps.map(([u, v]) => [u * lengthways[0] + v * across[0], u * lengthways[1] + v * across[1]]);
}

function stepsIn(n: number, m: number): Corner[] {
  const steps = (most: number): number[] => Array.from({ length: 2 * most + 1 }, (_, i) => (i - most) * STEP);
  return steps(n)
    .flatMap((u) => steps(m).map((v) => ({ step: [u, v] as Corner, far: Math.hypot(u, v) })))
    .sort((a, b) => a.far - b.far)
    .map(({ step }) => step);
}

/** A direction in which one outline may lie beside another: it does once moved there by `low` at most or by `high`. */
interface Gap {
  x: number;
  y: number;
  low: number;
  high: number;
}

/** The directions in which two convex outlines can lie apart: across each side of either (separating axes). */
function gapsBetween(one: Outline, other: Outline): Gap[] {
  return [one, other].flatMap((outline) =>
    outline.map(([x1, y1], i) => {
      const [x2, y2] = outline[(i + 1) % outline.length] ?? [x1, y1];
      const [x, y] = [y1 - y2, x2 - x1];
      const along = (corners: Outline): number[] => corners.map((corner) => corner[0] * x + corner[1] * y);
      const [own, its] = [along(one), along(other)];
      return { x, y, low: Math.min(...its) - Math.max(...own), high: Math.max(...its) - Math.min(...own) };
    }),
  );
}

function isApart(gaps: readonly Gap[], dx: number, dy: number): boolean {
  return gaps.some(({ x, y, low, high }) => {
    const by = x * dx + y * dy;
    return by <= low || by >= high;
  });
}

/** Whether two convex outlines share ground. */
export function clash(a: Outline, b: Outline): boolean {
  return overlaps(boxOf(a), boxOf(b), 0) && !isApart(gapsBetween(a, b), 0, 0);
}
