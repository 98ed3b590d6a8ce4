/** What the card about channels says: pure. */
import type { Channels, Target } from '../../generated/api';
import type { Hindrance } from '../../sync/notices';

export type PhoneStanding =
  | { kind: 'hindered'; why: Hindrance }
  | { kind: 'off' }
  | { kind: 'on'; id: string }
  | { kind: 'broken'; id: string; words: string };

/** How this phone stands, from what the browser and the server say. */
export function phoneStanding(
  hindrance: Hindrance | undefined,
  wanted: boolean,
  known: Channels,
): PhoneStanding {
  if (hindrance) return { kind: 'hindered', why: hindrance };
  const here = known.push.phones.find((phone) => phone.this_device);
  if (!wanted || !here) return { kind: 'off' };
  if (here.state === 'ok') return { kind: 'on', id: here.id };
  return { kind: 'broken', id: here.id, words: here.words ?? '' };
}

/** The other phones that take notices and do not get them. */
export function brokenElsewhere(known: Channels): Target[] {
  return known.push.phones.filter((phone) => !phone.this_device && phone.state !== 'ok');
}

/** Which words say how a target does. */
export function stateKey(target: Target): 'ok' | 'new' | 'failing' | 'dead' | 'stopped' {
  return target.state === 'ok' && target.last_sent_at === null ? 'new' : target.state;
}

/** Near enough to a mail address that the server will say the rest. */
export function looksLikeMail(text: string): boolean {
  return /^[^\s@]+@[^\s@]+$/.test(text.trim());
}
