// When the phone cannot keep what was typed, a banner says so and stays until it can.

import { signal } from '@preact/signals';
import { t } from '../text';

/** Words are looked up when they are shown: this file is loaded before the language is known. */
export type Trouble = { readonly words: string };

const trouble = (what: 'blocked' | 'newer' | 'full' | 'dead'): Trouble => ({
  get words() {
    return t(`told.store_${what}`);
  },
});

export const TROUBLE = {
  blocked: trouble('blocked'),
  newer: trouble('newer'),
  full: trouble('full'),
  dead: trouble('dead'),
} as const;

/** null when all is well; else what to show, above everything. */
export const saveTrouble = signal<Trouble | null>(null);

export function tellTrouble(trouble: Trouble): void {
  saveTrouble.value = trouble;
}

/** An act failed, maybe at what it read before it wrote. Whatever was said of it already says more. */
export function tellNotSaved(): void {
  saveTrouble.value ??= TROUBLE.dead;
}

/** Take the banner down, but only if it is this one. */
export function clearTrouble(...which: Trouble[]): void {
  if (saveTrouble.value && which.includes(saveTrouble.value)) saveTrouble.value = null;
}
