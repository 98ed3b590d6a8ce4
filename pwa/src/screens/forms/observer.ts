import { setMeta } from '../../storage';

/**
 * Whose counts this phone writes. Noted beside the database too: a system that empties that as a rule leaves this, and
 * a phone that went on with no name would count beside its own counts, as somebody else.
 */
const NOTE = 'underboard.observer';

export async function keepObserver(name: string): Promise<void> {
  await setMeta('observer', name);
  noteObserver(name);
}

export function noteObserver(name: string): void {
  if (notedObserver() === name) return;
  try {
    localStorage.setItem(NOTE, name);
  } catch {
    // closed to us: the database has it
  }
}

export function notedObserver(): string | undefined {
  try {
    return localStorage.getItem(NOTE) ?? undefined;
  } catch {
    return undefined;
  }
}
