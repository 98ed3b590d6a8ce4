import { RULES } from '../../generated/api';
import { ButtonLink, Card } from '../../parts';
import { list, useLive } from '../../storage';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { ruleTitle } from '../warnings/rule_words';
import { ReplayedRules } from './replayed';
import { type RuleScore, ruleScores } from './scores';

async function load(): Promise<RuleScore[]> {
  const [warnings, replies, [learned]] = await Promise.all([
    list('warning'),
    list('warning_reply'),
    list('learned'),
  ]);
  const order = RULES.map(({ name }) => name);
  return ruleScores(learned?.body.scores, warnings, replies, order);
}

/** Rule by rule: how often it was right, warned for nothing, or was silent when it came. */
export function Warned({ facts, today }: { facts: PlotFacts; today: string }) {
  const scores = useLive(load, ['warning', 'warning_reply', 'learned']);
  if (!scores) return null;
  return (
    <Card title={t('findings.warned')} icon="caution">
      {scores.length === 0 ? (
        <p>{t('findings.warned_none')}</p>
      ) : (
        <>
          {scores.map((score) => (
            <p key={score.rule}>
              <strong>{titleOf(score.rule)}.</strong> {sentence(score)}
            </p>
          ))}
          <Table scores={scores} />
        </>
      )}
      <ReplayedRules facts={facts} today={today} />
      <ButtonLink wide to="/warnings">
        {t('warnings.back_to_list')}
      </ButtonLink>
    </Card>
  );
}

function Table({ scores }: { scores: readonly RuleScore[] }) {
  return (
    <div class="table-frame">
      <table class="findings-table figures">
        <thead>
          <tr>
            <th scope="col">{t('findings.col_rule')}</th>
            <th scope="col">{t('findings.col_hits')}</th>
            <th scope="col">{t('findings.col_false')}</th>
            <th scope="col">{t('findings.col_missed')}</th>
          </tr>
        </thead>
        <tbody>
          {scores.map((score) => (
            <tr key={score.rule}>
              <th scope="row">{titleOf(score.rule)}</th>
              <td>{score.hits}</td>
              <td>{score.false_alarms}</td>
              <td>{score.here ? '–' : score.misses}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function sentence(score: RuleScore): string {
  if (score.words) return score.words;
  const facts = { hits: score.hits, n: score.hits + score.false_alarms, misses: score.misses };
  return t(score.here ? 'findings.warned_here' : 'findings.warned_words', facts);
}

function titleOf(rule: string): string {
  return ruleTitle(rule);
}
