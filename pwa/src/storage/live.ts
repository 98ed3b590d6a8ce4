// A screen's window on the storage: the query runs again whenever a record of the named types changes.

import { useEffect, useState } from 'preact/hooks';
import type { RecordType } from '../generated/api';
import { changes } from './changes';

/** The result of `query`, or undefined until the first one is there. `deps` as for useEffect. */
export function useLive<T>(
  query: () => Promise<T>,
  types: readonly (RecordType | 'outbox')[],
  deps: readonly unknown[] = [],
): T | undefined {
  const [value, setValue] = useState<T>();
  useEffect(() => {
    let wanted = 0;
    let shown = 0;
    let gone = false;
    const run = () => {
      wanted += 1;
      const mine = wanted;
      query().then(
        (result) => {
          // Answers may overtake each other; an older one must not cover a newer one.
          if (gone || mine < shown) return;
          shown = mine;
          setValue(() => result);
        },
        () => undefined,
      );
    };
    run();
    const stop = changes.subscribe((change) => {
      if (change.types.has('*') || types.some((type) => change.types.has(type))) run();
    });
    return () => {
      gone = true;
      stop();
    };
  }, deps as unknown[]);
  return value;
}
