/**
 * Test support: run a calculation over its shared vectors (fixtures/vectors/NAME.json).
 *
 * The server's tests read the same files, so that phone and server cannot drift apart unseen.
 */
import { expect, it } from 'vitest';
import { InputFault } from './input';

type Tolerance = { rel?: number; abs?: number; seconds?: number };
type Case = {
  id: string;
  comment: string;
  in: Record<string, unknown>;
  out?: Record<string, unknown>;
  says?: Record<string, string[]>;
  error?: string;
  tolerance?: Tolerance;
};
type VectorFile = { calculation: string; tolerance: Tolerance; cases: Case[] };

const files = import.meta.glob<VectorFile>('../../../fixtures/vectors/*.json', {
  eager: true,
  import: 'default',
});

const TIME = /^\d{4}-\d\d-\d\dT\d\d:\d\d/;

function agrees(got: unknown, want: unknown, tolerance: Tolerance, at: string): void {
  if (typeof want === 'number') {
    expect(got, at).toBeTypeOf('number');
    const room = (tolerance.abs ?? 0) + (tolerance.rel ?? 0) * Math.abs(want);
    expect(Math.abs((got as number) - want), `${at}: got ${got}, want ${want}`).toBeLessThanOrEqual(room);
  } else if (Array.isArray(want)) {
    expect(got, at).toHaveLength(want.length);
    want.forEach((entry, i) => {
      agrees((got as unknown[])[i], entry, tolerance, `${at}/${i}`);
    });
  } else if (typeof want === 'object' && want !== null) {
    for (const [key, entry] of Object.entries(want)) {
      expect(got, at).toHaveProperty([key]);
      agrees((got as Record<string, unknown>)[key], entry, tolerance, `${at}/${key}`);
    }
  } else if (typeof want === 'string' && TIME.test(want) && tolerance.seconds !== undefined) {
    const off = Math.abs(Date.parse(got as string) - Date.parse(want)) / 1000;
    expect(off, `${at}: got ${got}, want ${want}`).toBeLessThanOrEqual(tolerance.seconds);
    expect((got as string).slice(-6), `${at}: offset from UTC`).toBe(want.slice(-6));
  } else {
    expect(got, at).toBe(want);
  }
}

function says(answer: Record<string, unknown>, wanted: Record<string, string[]>): void {
  for (const [key, words] of Object.entries(wanted)) {
    const sentences = (answer[key] ?? []) as string[];
    if (words.length === 0) expect(sentences, key).toEqual([]);
    for (const word of words) {
      expect(sentences.join(' ').toLowerCase(), `${key} says "${word}"`).toContain(word.toLowerCase());
    }
  }
}

/** Every number of an answer is finite: what has no value must be null. */
function finite(value: unknown, at: string): void {
  if (typeof value === 'number') expect(Number.isFinite(value), `${at} is finite`).toBe(true);
  else if (typeof value === 'object' && value !== null) {
    for (const [key, entry] of Object.entries(value)) finite(entry, `${at}/${key}`);
  }
}

/** One test for each case of fixtures/vectors/`name`.json. */
export function holdToVectors<In>(name: string, calculation: (input: In) => object): void {
  const file = files[`../../../fixtures/vectors/${name}.json`];
  if (!file) throw new Error(`There is no fixtures/vectors/${name}.json`);
  for (const item of file.cases) {
    it(`${item.id}: ${item.comment}`, () => {
      const run = () => calculation(item.in as In) as Record<string, unknown>;
      if (item.error !== undefined) {
        let pointer: string | undefined;
        try {
          run();
        } catch (fault) {
          if (!(fault instanceof InputFault)) throw fault;
          pointer = fault.pointer;
        }
        expect(pointer, 'the value refused').toBe(item.error);
        return;
      }
      const answer = run();
      finite(answer, '');
      agrees(answer, item.out, { ...file.tolerance, ...item.tolerance }, '');
      says(answer, item.says ?? {});
      expect(answer).toHaveProperty('method');
      expect(answer).toHaveProperty('source');
    });
  }
}
