import { effect, signal } from '@preact/signals';
import type { SunTimes } from '../domain/daylight';

export type LookChoice = 'auto' | 'dawn' | 'day';
export type Look = 'dawn' | 'day';

const KEY = 'underboard.look';
const GROUND = { dawn: '#120c07', day: '#f3ecdd' } as const; // --ground of each look, for the phone's own bar

/** What the person chose. Kept beside the page, not among the records: it is this phone's, not the plot's. */
export const lookChoice = signal<LookChoice>(readChoice());
export const look = signal<Look>('day');

/** Amber until the sun is up and again after it has set; without a known sun, as the phone itself is set. */
export function lookAt(
  choice: LookChoice,
  now: number,
  sun: SunTimes | undefined,
  phoneIsDark: boolean,
): Look {
  if (choice !== 'auto') return choice;
  if (!sun || sun.rise === null || sun.set === null) return phoneIsDark ? 'dawn' : 'day';
  return now >= sun.rise && now < sun.set ? 'day' : 'dawn';
}

/** Keep the page's look right from now on. `sunToday` may answer undefined until the plot is known. */
export function startLook(sunToday: () => SunTimes | undefined): () => void {
  const phone = matchMedia('(prefers-color-scheme: dark)');
  const refresh = (): void => {
    look.value = lookAt(lookChoice.value, Date.now(), sunToday(), phone.matches);
  };
  phone.addEventListener('change', refresh);
  document.addEventListener('visibilitychange', refresh);
  setInterval(refresh, 60_000);
  effect(() => {
    rememberChoice(lookChoice.value);
    refresh();
  });
  effect(() => {
    document.documentElement.dataset.look = look.value;
    document.querySelector('meta[name="theme-color"]')?.setAttribute('content', GROUND[look.value]);
  });
  return refresh;
}

function readChoice(): LookChoice {
  try {
    const kept = localStorage.getItem(KEY);
    return kept === 'dawn' || kept === 'day' ? kept : 'auto';
  } catch {
    return 'auto'; // storage may be closed to us; the look is not worth a message
  }
}

function rememberChoice(choice: LookChoice): void {
  try {
    localStorage.setItem(KEY, choice);
  } catch {
    // as above
  }
}
