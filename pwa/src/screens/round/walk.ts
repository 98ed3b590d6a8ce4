import { useRef, useState } from 'preact/hooks';
import { saveDraft } from '../../storage';
import { kept } from '../forms/write';
import type { Done } from './model';

/** Taps that can be taken back. A round has at most a few hundred. */
const UNDO_KEPT = 200;

/** Where a person stands in a round: what a reload, a lock or a crash must bring back. */
export interface Stand {
  /** The board that lies open. */
  open?: string;
  undo: Done[];
  /** Photos of boards that have no count yet, by board. */
  photos?: Record<string, { sha256: string; bytes: number }[]>;
}

export interface Walking {
  shown: Stand;
  /** The newest state, for handlers that run between two drawings. */
  now: () => Stand;
  change: (next: Stand) => void;
}

export const standKey = (roundId: string): string => `round:${roundId}`;

export function useStand(roundId: string, start: Stand): Walking {
  const latest = useRef(start);
  const [shown, show] = useState(start);
  const change = (next: Stand): void => {
    latest.current = next;
    show(next);
    void kept(() => saveDraft(standKey(roundId), next));
  };
  return { shown, now: () => latest.current, change };
}

export function withDone(stand: Stand, done: Done, open: string): Stand {
  const { [done.board_id]: _given, ...photos } = stand.photos ?? {};
  return { open, undo: [...stand.undo, done].slice(-UNDO_KEPT), photos };
}

export function withPhoto(stand: Stand, board: string, photo: { sha256: string; bytes: number }): Stand {
  const held = [...(stand.photos?.[board] ?? []), photo];
  return { ...stand, photos: { ...stand.photos, [board]: held } };
}

/** The stand without its last tap; the board of that tap lies open again, its photos held once more. */
export function withoutLast(stand: Stand): { stand: Stand; last: Done } | undefined {
  const last = stand.undo.at(-1);
  if (!last) return undefined;
  const rest = { ...stand, open: last.board_id, undo: stand.undo.slice(0, -1) };
  const firstPhotos = last.before?.state ? undefined : last.wrote.photos;
  if (!firstPhotos) return { stand: rest, last };
  return { stand: { ...rest, photos: { ...rest.photos, [last.board_id]: firstPhotos } }, last };
}
