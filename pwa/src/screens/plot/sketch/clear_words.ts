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
  const around = boxOf([...bed, ...words.flatMap((one) => coverOf(one))]);
  const near = things.filter((thing) => overlaps(boxOf(thing), around, 0));
  const isClear = (one: Words, taken: readonly Outline[]): boolean =>
    !taken.some((thing) => clash(coverOf(one), thing));
  if (words.every((one) => isClear(one, near))) return [...words];
  const shifts = shiftsIn(bed);
  const held = words.map((one) => staysIn(one, bed));
  for (const [dx, dy] of shifts) {
    const all = words.map((one) => ({ ...one, x: one.x + dx, y: one.y + dy }));
    if (all.every((one, i) => held[i]?.(one) && isClear(one, near))) return all;
  }
  const places = (one: Words, hold: ((moved: Words) => boolean) | undefined): Words[] =>
    shifts
      .map(([dx, dy]) => ({ ...one, x: one.x + dx, y: one.y + dy }))
      .filter((moved) => hold?.(moved) && isClear(moved, near));
  const [first, second] = words;
  if (!first) return [];
  const onIt = (moved: Words): boolean => isInside([moved.x, moved.y], bed) && isOnAxis(moved, bed);
  const firsts = places(first, held[0]);
  if (firsts.length === 0 && isNumber(first)) firsts.push(...places(first, onIt), first);
  return apart(firsts, second ? places(second, held[1]) : []);
}

/** One place for each line so that none lies on another: the nearest of the first that leaves room for the second. */
function apart(firsts: readonly Words[], seconds: readonly Words[]): Words[] {
  for (const one of firsts) {
    const cover = coverOf(one);
    const other = seconds.find((second) => !clash(coverOf(second), cover));
    if (other) return [one, other];
  }
  return firsts.length > 0 ? firsts.slice(0, 1) : seconds.slice(0, 1);
}

function isNumber({ text }: Words): boolean {
  return /^[−\d]/u.test(text);
}

/** Whether moved words are still on their bed. A number wider than its bed may only go along it. */
function staysIn(one: Words, bed: Outline): (moved: Words) => boolean {
  const inBed = (of: Words): boolean => coverOf(of, LOOSE).every((corner) => isInside(corner, bed));
  if (inBed(one)) return inBed;
  const narrow = { ...one, text: one.text.slice(0, 1) };
  return (moved) => inBed({ ...narrow, x: moved.x, y: moved.y }) && isOnAxis(moved, bed);
}

function isOnAxis({ x, y }: Words, bed: Outline): boolean {
  const frame = frameOf(bed);
  return Math.abs((x - frame.x) * frame.across[0] + (y - frame.y) * frame.across[1]) < 1;
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

/** Whether two convex outlines share ground: no side of either has all of the other beyond it (separating axes). */
export function clash(a: Outline, b: Outline): boolean {
  return overlaps(boxOf(a), boxOf(b), 0) && !parts(a, b) && !parts(b, a);
}

function parts(a: Outline, b: Outline): boolean {
  return a.some(([x1, y1], i) => {
    const [x2, y2] = a[(i + 1) % a.length] ?? [x1, y1];
    const side = ([x, y]: Corner): number => (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1);
    const own = a.map(side);
    const other = b.map(side);
    return Math.max(...own) <= Math.min(...other) || Math.min(...own) >= Math.max(...other);
  });
}
