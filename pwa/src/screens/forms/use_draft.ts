import { useEffect, useRef, useState } from 'preact/hooks';
import { dropDraft, loadDraft, saveDraft } from '../../storage';

export interface Draft<T> {
  value: T;
  /** False until the phone has answered whether a draft was left from before. */
  ready: boolean;
  change: (next: Partial<T> | ((now: T) => T)) => void;
  /** Back to the beginning; the kept copy goes too. */
  clear: () => Promise<void>;
}

/**
 * A half-filled form that is kept on the phone at every change, so that a reload, a lock or a crash loses
 * nothing. `key` says which form; `initial` is what an untouched one holds.
 */
export function useDraft<T extends object>(key: string, initial: T): Draft<T> {
  const [value, setValue] = useState(initial);
  const [ready, setReady] = useState(false);
  const latest = useRef(initial);
  /** Changes from before the answer; undefined once it is there. */
  const early = useRef<((now: T) => T)[] | undefined>(undefined);
  // A draft that cannot be kept is told by the banner of the storage; what is on the screen stays.
  const keep = (): void => void saveDraft(key, latest.current).catch(() => undefined);
  useEffect(() => {
    let gone = false;
    const steps: ((now: T) => T)[] = [];
    early.current = steps;
    setReady(false);
    loadDraft<T>(key)
      .catch(() => undefined)
      .then((kept) => {
        if (gone) return;
        early.current = undefined;
        latest.current = steps.reduce((now, step) => step(now), { ...initial, ...kept });
        setValue(latest.current);
        setReady(true);
        if (steps.length > 0) keep();
      });
    return () => {
      gone = true;
    };
  }, [key]);
  const change: Draft<T>['change'] = (next) => {
    const step = typeof next === 'function' ? next : (now: T): T => ({ ...now, ...next });
    latest.current = step(latest.current);
    setValue(latest.current);
    // What was left from before is not covered by a change that does not know it yet.
    if (early.current) early.current.push(step);
    else keep();
  };
  const clear = async (): Promise<void> => {
    latest.current = initial;
    if (early.current) early.current.length = 0;
    setValue(initial);
    await dropDraft(key);
  };
  return { value, ready, change, clear };
}
