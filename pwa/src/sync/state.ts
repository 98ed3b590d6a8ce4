// What the screens are told of the sync, in numbers and in words.

import { signal } from '@preact/signals';

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

export const WORDS: Record<SyncPhase, string> = {
  idle: 'All on the server.',
  syncing: 'Sending and fetching.',
  not_home: 'Not at home: the server cannot be reached from here. Everything is kept on this phone.',
  offline: 'No network. Everything is kept on this phone and goes out by itself at home.',
  pair_again: 'The server does not know this phone any more. Pair it again; nothing on it is lost.',
  update_needed: 'The server is newer than this page. Reload it at home; nothing is lost.',
  trouble: 'The server has trouble. Everything is kept on this phone; it tries again by itself.',
};

export const NOT_PAIRED = 'This phone is not paired with a server yet. What you record stays on it.';

export const syncState = signal<SyncState>({
  phase: 'idle',
  only_here: 0,
  needs_you: 0,
  photos_waiting: 0,
  stuck: 0,
  words: NOT_PAIRED,
});

/** The phone's storage was emptied by the system or by hand while the server still knows the phone. */
export const storageWasCleared = signal(false);

export function setSync(change: Partial<SyncState>): void {
  syncState.value = { ...syncState.value, ...change };
}
