/** The warnings that Now shows, with what people said to them; read from the phone alone. */
import { type Answer, answerOf, standing } from '../../domain/warnings';
import type { Ask, View } from '../../storage';
import type { PlotFacts } from '../forms/plot_facts';
import { myReply } from '../warnings/replies';

export interface Alarm {
  view: View<'warning'>;
  answer: Answer;
}
export interface Alarms {
  standing: Alarm[];
  labels: ReadonlyMap<string, string>;
  /** How many there are in all, those that are over too. */
  n_known: number;
}

/** So many are shown whole; the rest stands behind one line. */
export const MOST_CARDS = 3;

export async function readAlarms(facts: PlotFacts, now: number, ask: Ask): Promise<Alarms> {
  const [warnings, replies, places] = await Promise.all([
    ask.list('warning'),
    ask.list('warning_reply'),
    ask.list('place'),
  ]);
  const open = standing(warnings, new Set(), now);
  const answers = new Map<string, Answer>();
  for (const { id } of open) {
    const mine = replies.length > 0 ? await myReply(id, ask) : undefined;
    answers.set(id, answerOf(id, replies, { mine, observer: facts.observer }));
  }
  const seen = new Set(open.flatMap(({ id }) => (answers.get(id)?.seen ? [id] : [])));
  return {
    standing: standing(open, seen, now).flatMap((view): Alarm[] => {
      const answer = answers.get(view.id);
      return answer ? [{ view, answer }] : [];
    }),
    labels: new Map(places.map(({ id, body }) => [id, body.label ?? ''])),
    n_known: warnings.length,
  };
}
