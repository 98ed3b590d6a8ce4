/**
 * Reading the input of a calculation: every value checked, every fault with its JSON pointer (RFC 6901).
 *
 * The server reads the same objects by the same ranges (`underboard calc NAME --explain` lists them), so the
 * two refuse the same input at the same place; the shared vectors hold both to it. The marks NO_SIDE_EFFECTS
 * let the bundler leave out the calculations that no screen asks for.
 */

const LARGEST = 1e12;
const LARGEST_COUNT = 1e9;

/** An input that cannot be used: where it stands and, in one sentence, what would be right. */
export class InputFault extends Error {
  constructor(
    readonly pointer: string,
    readonly detail: string,
  ) {
    super(pointer ? `${pointer}: ${detail}` : detail);
  }
}

/** A number as sentences say it: at most six figures. */
export const plain = (x: number): string => `${Number(x.toPrecision(6))}`;

/** Checks the value found at a pointer and returns it, or throws an InputFault. */
export type Reader<T> = ((value: unknown, at: string) => T) & { optional?: true };

type Values<S> = { [K in keyof S]: S[K] extends Reader<infer T> ? T : never };

/** Limits of a number; `above` and `below` leave the limit itself out. */
export type Limits = { min?: number; max?: number; above?: number; below?: number };

/** A value of one JSON type that passes a test. */
/* @__NO_SIDE_EFFECTS__ */
function that<T>(type: string, test: (value: T) => boolean, wanted: string): Reader<T> {
  return (value, at) => {
    if (typeof value === type && test(value as T)) return value as T;
    throw new InputFault(at, `This must be ${wanted}.`);
  };
}

/* @__NO_SIDE_EFFECTS__ */
export function number({ min = -LARGEST, max = LARGEST, above, below }: Limits = {}): Reader<number> {
  const from = above === undefined ? `from ${min}` : `above ${above}`;
  const to = below === undefined ? `to ${max}` : `below ${below}`;
  const fits = (x: number) =>
    (above === undefined ? x >= min : x > above) && (below === undefined ? x <= max : x < below);
  const read = that<number>('number', fits, `a number ${from} ${to}`);
  return (value, at) => read(value, at) + 0; // turns -0 into 0
}

/* @__NO_SIDE_EFFECTS__ */
export function integer(limits: Limits = {}): Reader<number> {
  const read = number(limits);
  const whole = that<number>('number', Number.isInteger, 'a whole number');
  return (value, at) => whole(read(value, at), at);
}

/** A count: a whole number from 0 to 1e9. */
/* @__NO_SIDE_EFFECTS__ */
export function count(limits: Limits = {}): Reader<number> {
  return integer({ min: 0, max: LARGEST_COUNT, ...limits });
}

/** Confidence level, 0.95 unless told. */
/* @__NO_SIDE_EFFECTS__ */
export function level(): Reader<number> {
  return or(number({ above: 0, below: 1 }), 0.95);
}

/* @__NO_SIDE_EFFECTS__ */
export function flag(): Reader<boolean> {
  return that('boolean', () => true, 'true or false');
}

/* @__NO_SIDE_EFFECTS__ */
export function text(): Reader<string> {
  return that(
    'string',
    (words: string) => words.length > 0 && words.length <= 200,
    'text of 1 to 200 characters',
  );
}

/* @__NO_SIDE_EFFECTS__ */
export function choice<const T extends string>(...words: T[]): Reader<T> {
  return that('string', (word: T) => words.includes(word), `one of ${words.join(', ')}`);
}

/* @__NO_SIDE_EFFECTS__ */
export function list<T>(item: Reader<T>, { min = 0, max = 1e6 }: Limits = {}): Reader<T[]> {
  return (value, at) => {
    if (!Array.isArray(value) || value.length < min || value.length > max) {
      throw new InputFault(at, `This must be a list of ${min} to ${max} entries.`);
    }
    return value.map((entry, i) => item(entry, `${at}/${i}`));
  };
}

/** Lets null stand where a value is missing, as in a series with gaps. */
/* @__NO_SIDE_EFFECTS__ */
export function orNull<T>(read: Reader<T>): Reader<T | null> {
  return (value, at) => (value === null ? null : read(value, at));
}

/** An input that may be left out (or null): `otherwise` stands for it. */
/* @__NO_SIDE_EFFECTS__ */
export function or<T, D>(read: Reader<T>, otherwise: D): Reader<T | D> {
  const reader: Reader<T | D> = (value, at) =>
    value === undefined || value === null ? otherwise : read(value, at);
  reader.optional = true;
  return reader;
}

/** An input that may be left out. */
/* @__NO_SIDE_EFFECTS__ */
export function maybe<T>(read: Reader<T>): Reader<T | undefined> {
  return or(read, undefined);
}

/** Read a JSON object by its description. Unknown keys are refused unless `extraOk`. */
export function read<S extends Record<string, Reader<unknown>>>(
  raw: unknown,
  spec: S,
  at = '',
  extraOk = false,
): Values<S> {
  if (typeof raw !== 'object' || raw === null || Array.isArray(raw)) {
    throw new InputFault(at, 'This must be a JSON object.');
  }
  const given = raw as Record<string, unknown>;
  for (const key of extraOk ? [] : Object.keys(given)) {
    if (!Object.hasOwn(spec, key)) {
      const pointer = key.replaceAll('~', '~0').replaceAll('/', '~1');
      throw new InputFault(`${at}/${pointer}`, 'There is no such input.');
    }
  }
  const values: Record<string, unknown> = {};
  for (const [key, reader] of Object.entries(spec)) {
    if (given[key] === undefined && !reader.optional)
      throw new InputFault(`${at}/${key}`, 'This is missing.');
    values[key] = reader(given[key], `${at}/${key}`);
  }
  return values as Values<S>;
}
