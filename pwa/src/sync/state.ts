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

export const syncState = signal<SyncState>({
  phase: 'idle',
  only_here: 0,
  needs_you: 0,
  photos_waiting: 0,
  stuck: 0,
  words: t('told.not_paired'),
});

/** The phone's storage was emptied by the system or by hand while the server still knows the phone. */
export const storageWasCleared = signal(false);

export function setSync(change: Partial<SyncState>): void {
  syncState.value = { ...syncState.value, ...change };
}
