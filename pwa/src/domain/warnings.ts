/** Which warnings stand, which comes first, and what people said to them. Pure. */
import type { Warning, WarningReply } from '../generated/api';

export interface Told {
  id: string;
  body: Partial<Warning>;
}
export interface Reply {
  id: string;
  body: Partial<WarningReply>;
}

const SEVERITIES = ['Extreme', 'Severe', 'Moderate', 'Minor'];
const URGENCIES = ['Immediate', 'Expected', 'Future', 'Past'];

/** No longer so: the server ended it, or its time has passed while no server could be asked. */
export function isOver({ ended_at, window_end }: Partial<Warning>, now: number): boolean {
  return Boolean(ended_at) || (window_end ? Date.parse(window_end) < now : false);
}

/**
 * What stands now, most severe first, then most urgent; among equals those that speak before those that only
 * stand in the app, those nobody here has read before the others, and the earlier before the later.
 */
export function standing<W extends Told>(all: readonly W[], seen: ReadonlySet<string>, now: number): W[] {
  const key = ({ id, body }: W): (number | string)[] => [
    rank(SEVERITIES, body.severity),
    rank(URGENCIES, body.urgency),
    body.loud === false ? 1 : 0,
    seen.has(id) ? 1 : 0,
    body.window_start ? Date.parse(body.window_start) : Number.MAX_VALUE,
    id,
  ];
  return all
    .filter(({ body }) => !isOver(body, now))
    .map((one) => ({ one, key: key(one) }))
    .sort((a, b) => inOrder(a.key, b.key))
    .map(({ one }) => one);
}

/** What is over, the newest first. */
export function earlier<W extends Told>(all: readonly W[], now: number): W[] {
  const end = ({ body }: W): number => Date.parse(body.window_end ?? body.ended_at ?? body.raised_at ?? '');
  return all
    .filter(({ body }) => isOver(body, now))
    .sort((a, b) => end(b) - end(a) || inOrder([a.id], [b.id]));
}

/** CAP words in their own order; anything else last. */
function rank(words: readonly string[], word: string | undefined): number {
  const found = words.indexOf(word ?? '');
  return found < 0 ? words.length : found;
}

function inOrder(a: readonly (number | string)[], b: readonly (number | string)[]): number {
  for (const [i, left] of a.entries()) {
    const right = b[i] ?? 0;
    if (left !== right) return left < right ? -1 : 1;
  }
  return 0;
}

/** What people said to one warning. `acted` and `outcome` are the newest word of anybody. */
export interface Answer {
  seen: boolean;
  acted: { observer: string; at: string } | undefined;
  outcome: { what: NonNullable<WarningReply['outcome']>; observer: string; at: string } | undefined;
  /** Two people say different things of what happened. */
  differ: boolean;
}

/** `mine`: this phone's own reply; `observer`: whose phone it is, who may have read it on another one. */
export function answerOf(
  warningId: string,
  replies: readonly Reply[],
  me: { mine?: string | undefined; observer: string },
): Answer {
  const about = replies
    .filter(({ body }) => body.warning_id === warningId)
    .sort(
      (a, b) =>
        Date.parse(a.body.observed_at ?? '') - Date.parse(b.body.observed_at ?? '') ||
        inOrder([a.id], [b.id]),
    );
  const own = ({ id, body }: Reply): boolean =>
    id === me.mine || (me.observer !== '' && body.observer === me.observer);
  const who = ({ body }: Reply) => ({ observer: body.observer ?? '', at: body.observed_at ?? '' });
  const acted = about.findLast(({ body }) => body.acted === true);
  const judged = about.filter(({ body }) => body.outcome);
  const last = judged.at(-1);
  return {
    seen: about.some((reply) => own(reply) && reply.body.seen === true),
    acted: acted && who(acted),
    outcome: last?.body.outcome && { what: last.body.outcome, ...who(last) },
    differ: new Set(judged.map(({ body }) => body.outcome).filter((what) => what !== 'not_known')).size > 1,
  };
}

/** The first sentence of a text, for a card that is read at arm's length. */
export function firstSentence(text: string | undefined): string {
  const found = /^.*?[.!?](?=\s|$)/su.exec(text ?? '');
  return (found?.[0] ?? text ?? '').trim();
}
