/** What the sheet that lets a phone in makes of the server's answer. Pure. */

/** Whole minutes that are left, the one that has begun counted; 0 when it has run out. */
export function minutesLeft(ends: number, now: number): number {
  return Math.max(0, Math.ceil((ends - now) / 60_000));
}

/** What is typed on the other phone: it leads to the form that asks for the code. */
export function addressOf(url: string): string {
  return `${new URL(url).origin}/join`;
}

/** Whether the address is the computer's name for itself, where no other phone finds it. */
export function onlyHere(url: string): boolean {
  return /^(localhost|127(\.\d+){3}|\[::1\])$/.test(new URL(url).hostname);
}

/** Who has come in since: not among those that were known, and not put out again. */
export function newcomer<D extends { id: string; revoked_at?: string | null | undefined }>(
  before: ReadonlySet<string>,
  now: readonly D[],
): D | undefined {
  return now.find(({ id, revoked_at }) => !before.has(id) && !revoked_at);
}
