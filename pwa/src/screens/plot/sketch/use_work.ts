/** Work on the sketch: what a finger holds right now, what is saved, and the way back. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { t } from '../../../text';
import { kept } from '../../forms/write';
import { carryOut } from './carry';
import {
  added,
  EMPTY_TRAIL,
  type Fields,
  redoneOnce,
  renamed,
  reversed,
  type Step,
  type Trail,
  undoneOnce,
  withoutLast,
} from './undo';

export interface Work {
  /** Fields that are held by a finger or still on their way to the disk, by record id. */
  ghost: ReadonlyMap<string, Fields>;
  hold: (ghost: ReadonlyMap<string, Fields>) => void;
  drop: () => void;
  /** Saves one finished gesture; resolves once the disk has it, false when it could not. */
  act: (step: Step) => Promise<boolean>;
  undo: () => Promise<void>;
  redo: () => Promise<void>;
  canUndo: string | undefined;
  canRedo: string | undefined;
  /** One sentence about the last thing done, read aloud. */
  words: string;
  say: (words: string) => void;
}

const NOTHING: ReadonlyMap<string, Fields> = new Map();

/**
 * `shown` changes whenever the storage was read anew: from then on it says what the ghosts said. What was read while a
 * gesture was still on its way to the disk may not know of it yet; the reading that follows it does.
 */
export function useWork(shown: unknown): Work {
  const [ghost, setGhost] = useState(NOTHING);
  const [words, say] = useState('');
  const [, redraw] = useState(0);
  const trail = useRef<Trail>(EMPTY_TRAIL);
  const queue = useRef<Promise<unknown>>(Promise.resolve());
  const onTheWay = useRef(0);
  useEffect(() => {
    if (onTheWay.current === 0) setGhost(NOTHING);
  }, [shown]);

  /** One after the other: two quick gestures must not overtake each other on the way to the disk. */
  const inTurn = <T>(job: () => Promise<T>): Promise<T> => {
    onTheWay.current += 1;
    const mine = queue.current.then(job, job).finally(() => {
      onTheWay.current -= 1;
    });
    queue.current = mine.catch(() => undefined);
    return mine;
  };
  const setTrail = (next: Trail) => {
    trail.current = next;
    redraw((n) => n + 1);
  };
  const act = (step: Step) =>
    inTurn(async () => {
      const nothing = step.changes.length === 0;
      const done = nothing ? undefined : await carried(step, false);
      if (!done || done === 'changed') {
        setGhost(NOTHING);
        if (done) say(t('sketch_editor.changed_under', { what: step.what }));
        return nothing;
      }
      setTrail(added(trail.current, step));
      say(step.what);
      return true;
    });
  const back = (side: 'done' | 'undone') =>
    inTurn(async () => {
      const step = trail.current[side].at(-1);
      if (!step) return;
      const names = await carried(side === 'done' ? reversed(step) : step, true);
      if (!names) return;
      if (names === 'changed') {
        setTrail(withoutLast(trail.current, side));
        say(t('sketch_editor.changed_since', { what: step.what }));
        return;
      }
      let next = side === 'done' ? undoneOnce(trail.current) : redoneOnce(trail.current);
      for (const [from, to] of names) next = renamed(next, from, to);
      setTrail(next);
      say(t(side === 'done' ? 'sketch_editor.undone' : 'sketch_editor.redone', { what: step.what }));
    });
  return {
    ghost,
    hold: setGhost,
    drop: () => setGhost(NOTHING),
    act,
    undo: () => back('done'),
    redo: () => back('undone'),
    canUndo: trail.current.done.at(-1)?.what,
    canRedo: trail.current.undone.at(-1)?.what,
    words,
    say,
  };
}

type Carried = Awaited<ReturnType<typeof carryOut>>;

/** `undefined` when the disk did not take it. */
async function carried(step: Step, again: boolean): Promise<Carried | undefined> {
  let done: Carried | undefined;
  await kept(async () => {
    done = await carryOut(step, again);
  });
  return done;
}
