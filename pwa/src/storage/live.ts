// A screen's window on the storage: the query runs again whenever a record of the named types changes.

import { useEffect, useMemo, useState } from 'preact/hooks';
import type { RecordType } from '../generated/api';
import { changes } from './changes';
import { asked } from './quiet';

/** An answer that somebody else has got already, and how many changes had been told when it was asked for. */
export type Known<T> = { value: T; told: number };

/** The result of `query`, or undefined until the first one is there. `deps` as for useEffect. */
export function useLive<T>(
  query: () => Promise<T>,
  types: readonly (RecordType | 'outbox')[],
  deps: readonly unknown[] = [],
  known?: Known<T>,
): T | undefined {
  const [value, setValue] = useState<T | undefined>(known?.value);
  // Asked while drawing and not after: the disk works while the first picture is made.
  const first = useMemo(
    () => (known ? { told: known.told } : { told: changes.told(), answer: asked(query()) }),
    deps as unknown[],
  );
  useEffect(() => {
    let wanted = 0;
    let shown = 0;
    let gone = false;
    const show = (answer: Promise<T>) => {
      wanted += 1;
      const mine = wanted;
      answer.then(
        (result) => {
          // Answers may overtake each other; an older one must not cover a newer one.
          if (gone || mine < shown) return;
          shown = mine;
          setValue(() => result);
        },
        () => undefined,
      );
    };
    if (first.answer) show(first.answer);
    // A change between asking and now was told to nobody here.
    if (changes.told() !== first.told) show(asked(query()));
    const stop = changes.subscribe((change) => {
      if (change.types.has('*') || types.some((type) => change.types.has(type))) show(asked(query()));
    });
    return () => {
      gone = true;
      stop();
    };
  }, deps as unknown[]);
  return value;
}
