import { effect, signal } from '@preact/signals';

export type Hand = 'right' | 'left';

const KEY = 'underboard.hand';

/** Which thumb counts: the large keys lie on its side. This phone's own setting, not the plot's. */
export const hand = signal<Hand>(readHand());

effect(() => {
  try {
    localStorage.setItem(KEY, hand.value);
  } catch {
    // storage may be closed to us; the side is not worth a message
  }
});

function readHand(): Hand {
  try {
    return localStorage.getItem(KEY) === 'left' ? 'left' : 'right';
  } catch {
    return 'right';
  }
}
