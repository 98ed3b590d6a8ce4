/** How good the warnings were, rule by rule: what the server has judged, else what people answered here. Pure. */
import type { Warning, WarningReply } from '../../generated/api';

export interface RuleScore {
  rule: string;
  hits: number;
  misses: number;
  false_alarms: number;
  /** Quiet nights on which nothing came; unknown where only people judge. */
  correct_negatives: number | undefined;
  /** The server's own sentence. */
  words: string | undefined;
  /** From answers on this phone alone: the server has not judged this rule yet. */
  here: boolean;
}

type Told = { id: string; body: Partial<Warning> };
type Reply = { id: string; body: Partial<WarningReply> };

/** In the order in which people read the rules; those without anything judged are left out. */
export function ruleScores(
  kept: Readonly<Record<string, unknown>> | undefined,
  warnings: readonly Told[],
  replies: readonly Reply[],
  order: readonly string[],
): RuleScore[] {
  const found = new Map(answered(warnings, replies).map((score) => [score.rule, score]));
  for (const [rule, score] of Object.entries(kept ?? {})) {
    const known = fromServer(rule, score);
    if (known) found.set(rule, known);
  }
  const place = (rule: string): number => (order.includes(rule) ? order.indexOf(rule) : order.length);
  return [...found.values()]
    .filter(({ hits, misses, false_alarms }) => hits + misses + false_alarms > 0)
    .sort((a, b) => place(a.rule) - place(b.rule) || (a.rule < b.rule ? -1 : 1));
}

function fromServer(rule: string, score: unknown): RuleScore | undefined {
  if (typeof score !== 'object' || score === null) return undefined;
  const field = (name: string): unknown => (score as Record<string, unknown>)[name];
  const count = (name: string): number => (typeof field(name) === 'number' ? (field(name) as number) : 0);
  const words = field('words');
  return {
    rule,
    hits: count('hits'),
    misses: count('misses'),
    false_alarms: count('false_alarms'),
    correct_negatives:
      typeof field('correct_negatives') === 'number' ? count('correct_negatives') : undefined,
    words: typeof words === 'string' ? words : undefined,
    here: false,
  };
}

/** The newest answer to each warning that says something. Nobody can answer for what came without one. */
function answered(warnings: readonly Told[], replies: readonly Reply[]): RuleScore[] {
  const rules = new Map(warnings.map(({ id, body }) => [id, body.rule ?? '']));
  const newest = new Map<string, string>();
  const byTime = [...replies].sort(
    (a, b) => Date.parse(a.body.observed_at ?? '') - Date.parse(b.body.observed_at ?? ''),
  );
  for (const { body } of byTime) {
    if (body.warning_id && (body.outcome === 'happened' || body.outcome === 'did_not_happen')) {
      newest.set(body.warning_id, body.outcome);
    }
  }
  const scores = new Map<string, RuleScore>();
  for (const [id, outcome] of newest) {
    const rule = rules.get(id);
    if (!rule) continue;
    const score = scores.get(rule) ?? {
      rule,
      hits: 0,
      misses: 0,
      false_alarms: 0,
      correct_negatives: undefined,
      words: undefined,
      here: true,
    };
    if (outcome === 'happened') score.hits += 1;
    else score.false_alarms += 1;
    scores.set(rule, score);
  }
  return [...scores.values()];
}
