/** How safely this phone keeps what is on it, how it is put on the home screen, how old its program is. Pure. */

/** Which way to the home screen to describe. */
export type Way = 'offered' | 'ios_safari' | 'ios_other' | 'android' | 'android_firefox' | 'desktop';

export interface Browser {
  user_agent: string;
  /** More than one touch point: an iPad calls itself a Macintosh. */
  touch_points: number;
  /** The browser has offered to install by itself. */
  offered: boolean;
}

export function wayHome({ user_agent: ua, touch_points, offered }: Browser): Way {
  if (offered) return 'offered';
  const ios = /iPhone|iPad|iPod/.test(ua) || (/Macintosh/.test(ua) && touch_points > 1);
  // Only Safari's own Share sheet has the entry on every iOS still in use; others name themselves.
  if (ios) return /CriOS|FxiOS|EdgiOS|OPiOS|DuckDuckGo/.test(ua) ? 'ios_other' : 'ios_safari';
  if (/Android/.test(ua)) return /Firefox/.test(ua) ? 'android_firefox' : 'android';
  return 'desktop';
}

/** Whether the browser empties what a page stored after some days without a visit (WebKit does, unless installed). */
export function forgetsUnused({ user_agent: ua, touch_points }: Omit<Browser, 'offered'>): boolean {
  const ios = /iPhone|iPad|iPod/.test(ua) || (/Macintosh/.test(ua) && touch_points > 1);
  return ios || (/Safari/.test(ua) && !/Chrom|Android|Edg/.test(ua));
}

export interface Room {
  used_mb: number;
  /** Share of what the browser would let us use; undefined when it does not say. */
  share: number | undefined;
}

/** What `navigator.storage.estimate()` says; its quota is what the browser may give, not what the disk has. */
export function roomOf(estimate: { usage?: number; quota?: number } | undefined): Room | undefined {
  if (estimate?.usage === undefined) return undefined;
  const { usage, quota } = estimate;
  return { used_mb: usage / 1e6, share: quota && quota > 0 ? Math.min(1, usage / quota) : undefined };
}

/** Above this share photos are no longer taken in, so that counts still fit (storage/photos.ts). */
export const FULL = 0.8;
