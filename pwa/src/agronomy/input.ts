/**
 * Reading the input of a calculation: every value checked, every fault with its JSON pointer (RFC 6901).
 *
 * The server reads the same objects by the same ranges (`underboard calc NAME --explain` lists them), so the
 * two refuse the same input at the same place; the shared vectors hold both to it.
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

/** Checks the value found at a pointer and returns it, or throws an InputFault. */
export type Reader<T> = ((value: unknown, at: string) => T) & { optional?: true };

type Values<S> = { [K in keyof S]: S[K] extends Reader<infer T> ? T : never };

/** Limits of a number; `above` and `below` leave the limit itself out. */
export type Limits = { min?: number; max?: number; above?: number; below?: number };

export function number(limits: Limits = {}): Reader<number> {
  const { min = -LARGEST, max = LARGEST, above, below } = limits;
  return (value, at) => {
    if (typeof value !== 'number') throw new InputFault(at, 'This must be a number.');
    const fits =
      (above === undefined ? value >= min : value > above) &&
      (below === undefined ? value <= max : value < below);
    if (!fits) {
      const from = above === undefined ? `from ${min}` : `above ${above}`;
      const to = below === undefined ? `to ${max}` : `below ${below}`;
      throw new InputFault(at, `This must be ${from} ${to}; ${value} is not.`);
    }
    return value + 0;
  };
}

export function integer(limits: Limits = {}): Reader<number> {
  const read = number(limits);
  return (value, at) => {
    const whole = read(value, at);
    if (!Number.isInteger(whole)) throw new InputFault(at, `This must be a whole number; ${whole} is not.`);
    return whole;
  };
}

/** A count: a whole number from 0 to 1e9. */
export const count = (limits: Limits = {}): Reader<number> =>
  integer({ min: 0, max: LARGEST_COUNT, ...limits });

/** Confidence level, 0.95 unless told. */
export const level = (): Reader<number> => or(number({ above: 0, below: 1 }), 0.95);

export const flag: Reader<boolean> = (value, at) => {
  if (typeof value !== 'boolean') throw new InputFault(at, 'This must be true or false.');
  return value;
};

export const text: Reader<string> = (value, at) => {
  if (typeof value !== 'string') throw new InputFault(at, 'This must be text.');
  if (value.length < 1 || value.length > 200) throw new InputFault(at, 'This must have 1 to 200 characters.');
  return value;
};

export function choice<const T extends string>(...words: T[]): Reader<T> {
  return (value, at) => {
    const found = words.find((word) => word === value);
    if (found === undefined) throw new InputFault(at, `This must be one of ${words.join(', ')}.`);
    return found;
  };
}

export function list<T>(item: Reader<T>, shortest = 0): Reader<T[]> {
  return (value, at) => {
    if (!Array.isArray(value)) throw new InputFault(at, 'This must be a list.');
    if (value.length < shortest) throw new InputFault(at, `This list needs at least ${shortest} entries.`);
    return value.map((entry, i) => item(entry, `${at}/${i}`));
  };
}

/** Lets null stand where a value is missing, as in a series with gaps. */
export const orNull =
  <T>(read: Reader<T>): Reader<T | null> =>
  (value, at) =>
    value === null ? null : read(value, at);

/** An input that may be left out (or null): `otherwise` stands for it. */
export function or<T, D>(read: Reader<T>, otherwise: D): Reader<T | D> {
  const reader: Reader<T | D> = (value, at) =>
    value === undefined || value === null ? otherwise : read(value, at);
  reader.optional = true;
  return reader;
}

/** An input that may be left out. */
export const maybe = <T>(read: Reader<T>): Reader<T | undefined> => or(read, undefined);

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

/** A reader for an object inside the input. */
export const object =
  <S extends Record<string, Reader<unknown>>>(spec: S, extraOk = false): Reader<Values<S>> =>
  (value, at) =>
    read(value, spec, at, extraOk);
