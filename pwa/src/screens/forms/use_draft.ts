import { useEffect, useRef, useState } from 'preact/hooks';
import { type Base, dropDraft, loadDraft, type Shown, saveDraft } from '../../storage';

export interface Draft<T> {
  value: T;
  /** False until the phone has answered whether a draft was left from before. */
  ready: boolean;
  /** The record as it was when this form was begun, which may be days ago: what its person has seen of it. */
  shown: Shown | undefined;
  change: (next: Partial<T> | ((now: T) => T)) => void;
  /** Back to the beginning; the kept copy goes too. */
  clear: () => Promise<void>;
}

/**
 * A half-filled form that is kept on the phone at every change, so that a reload, a lock or a crash loses
 * nothing. `key` says which form; `initial` is what an untouched one holds; `view` is the record it changes.
 */
export function useDraft<T extends object>(key: string, initial: T, view?: Shown): Draft<T> {
  const [value, setValue] = useState(initial);
  const [ready, setReady] = useState(false);
  const latest = useRef(initial);
  /** None once it was saved and the form stays: what it shows next is the record as it is then. */
  const shown = useRef<Shown | undefined>(undefined);
  /** Changes from before the answer; undefined once it is there. */
  const early = useRef<((now: T) => T)[] | undefined>(undefined);
  // A draft that cannot be kept is told by the banner of the storage; what is on the screen stays.
  const keep = (): void => void saveDraft(key, keptOf(latest.current, shown.current)).catch(() => undefined);
  useEffect(() => {
    let gone = false;
    shown.current = keptView(view);
    const steps: ((now: T) => T)[] = [];
    early.current = steps;
    setReady(false);
    loadDraft<Kept<T>>(key)
      .catch(() => undefined)
      .then((kept) => {
        if (gone) return;
        early.current = undefined;
        const { [SHOWN]: was, ...left } = kept ?? ({} as Kept<T>);
        if (was && was.id === view?.id) shown.current = was; // else the draft was begun on another record
        latest.current = steps.reduce((now, step) => step(now), { ...initial, ...left });
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
    shown.current ??= keptView(view);
    setValue(latest.current);
    // What was left from before is not covered by a change that does not know it yet.
    if (early.current) early.current.push(step);
    else keep();
  };
  const clear = async (): Promise<void> => {
    latest.current = initial;
    shown.current = undefined;
    if (early.current) early.current.length = 0;
    setValue(initial);
    await dropDraft(key);
  };
  return { value, ready, shown: shown.current ?? keptView(view), change, clear };
}

function keptView(view: Shown | undefined): Shown | undefined {
  if (!view) return undefined;
  const { id, base, body } = view;
  return { ...(id && { id }), ...(base && { base }), body };
}

/** What a form shows of a record whose fields lie beside its marks. */
export function shownOf<T extends { id: string; base?: Base }>(row: T | undefined): Shown | undefined {
  return row && { id: row.id, ...(row.base && { base: row.base }), body: { ...row } };
}

/** Beside the fields of a draft; no field has such a name. */
const SHOWN = '*shown';
type Kept<T> = Partial<T> & { [SHOWN]?: Shown };

function keptOf<T extends object>(value: T, shown: Shown | undefined): T | Kept<T> {
  return shown ? { ...value, [SHOWN]: shown } : value;
}
