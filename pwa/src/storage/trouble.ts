// When the phone cannot keep what was typed, a banner says so and stays until it can.

import { signal } from '@preact/signals';

export type Trouble = { words: string };

export const TROUBLE = {
  blocked: { words: 'Underboard is open in another tab with an older version. Close the other tabs.' },
  newer: { words: 'A newer Underboard has been used here. Reload this page; nothing is lost.' },
  full: {
    words: 'Not saved: the phone is full. Make room (photos, other apps), then save again. The form is kept.',
  },
  dead: {
    words:
      'Not saved: the phone’s storage does not answer. Close Underboard and open it again. The form is kept.',
  },
} as const satisfies Record<string, Trouble>;

/** null when all is well; else what to show, above everything. */
export const saveTrouble = signal<Trouble | null>(null);

export function tellTrouble(trouble: Trouble): void {
  saveTrouble.value = trouble;
}

/** Take the banner down, but only if it is this one. */
export function clearTrouble(...which: Trouble[]): void {
  if (saveTrouble.value && which.includes(saveTrouble.value)) saveTrouble.value = null;
}
