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
  useEffect(() => {
    let gone = false;
    setReady(false);
    loadDraft<T>(key)
      .catch(() => undefined)
      .then((kept) => {
        if (gone) return;
        latest.current = { ...initial, ...kept };
        setValue(latest.current);
        setReady(true);
      });
    return () => {
      gone = true;
    };
  }, [key]);
  const change: Draft<T>['change'] = (next) => {
    latest.current = typeof next === 'function' ? next(latest.current) : { ...latest.current, ...next };
    setValue(latest.current);
    // A draft that cannot be kept is told by the banner of the storage; what is on the screen stays.
    saveDraft(key, latest.current).catch(() => undefined);
  };
  const clear = async (): Promise<void> => {
    latest.current = initial;
    setValue(initial);
    await dropDraft(key);
  };
  return { value, ready, change, clear };
}
