// What the screens are told of the sync, in numbers and in words.

import { signal } from '@preact/signals';
import { t } from '../text';

export type SyncPhase =
  | 'idle'
  | 'syncing'
  | 'not_home'
  | 'offline'
  | 'pair_again'
  | 'update_needed'
  | 'trouble';

export type SyncState = {
  phase: SyncPhase;
  last_sync_at?: string;
  /** Records with something that is only on this phone. */
  only_here: number;
  needs_you: number;
  photos_waiting: number;
  stuck: number;
  words: string;
};

export function phaseWords(phase: SyncPhase): string {
  return t(`told.sync_${phase}`);
}

const KEY = 'underboard.needs_you';

export const syncState = signal<SyncState>({
  phase: 'idle',
  only_here: 0,
  needs_you: remembered(),
  photos_waiting: 0,
  stuck: 0,
  words: '', // until the first sync has something to say
});

/**
 * How many records needed a person when the app was last open. They cannot have become more since: only a sync brings
 * such. Counting takes longer than the first picture, which would have to make room for their card afterwards.
 */
function remembered(): number {
  try {
    return Number(localStorage.getItem(KEY)) || 0;
  } catch {
    return 0; // storage may be closed to us; they are counted in a moment
  }
}

export function rememberNeeds(n: number): void {
  try {
    localStorage.setItem(KEY, String(n));
  } catch {
    // as above
  }
}

/** The phone's storage was emptied by the system or by hand while the server still knows the phone. */
export const storageWasCleared = signal(false);

export function setSync(change: Partial<SyncState>): void {
  syncState.value = { ...syncState.value, ...change };
}
