import type { ScreenProps } from '../../app/routes';
import { RULES, type RuleGroup, type RuleSpec } from '../../generated/api';
import { ButtonLink, Card, EmptyState, Icon, Link, PageHeader } from '../../parts';
import { list, useLive, type View } from '../../storage';
import { t } from '../../text';
import { NoPlot } from '../forms/no_plot';
import { usePlotFacts } from '../forms/plot_facts';
import { ruleQuestion, ruleTitle } from '../warnings/rule_words';
import { iconOf } from '../warnings/words';
import { isChanged, watchOf } from './model';
import { RuleForm } from './rule_form';
import '../forms/style.css';
import './style.css';

const GROUPS: readonly RuleGroup[] = ['tonight', 'pests', 'ground', 'work', 'house'];

/** What the plot is warned of, and of each rule when. */
export default function WatchScreen({ params }: ScreenProps) {
  const facts = usePlotFacts();
  const watches = useLive(() => list('watch'), ['watch']);
  if (!facts || !watches) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('watch.title')} />;
  if (params.rule === undefined) return <AllRules watches={watches} />;
  const rule = RULES.find(({ name }) => name === params.rule);
  if (!rule) return <Unknown />;
  return <RuleForm key={rule.name} rule={rule} watch={watchOf(watches, rule.name)} facts={facts} />;
}

function AllRules({ watches }: { watches: readonly View<'watch'>[] }) {
  return (
    <div class="page">
      <PageHeader title={t('watch.title')} back="/plot" under={t('watch.under')} />
      {GROUPS.map((group) => {
        const rules = RULES.filter((rule) => rule.group === group);
        return (
          rules.length > 0 && (
            <Card key={group} title={t(`watch.group_${group}`)}>
              <ul class="watch-rows">
                {rules.map((rule) => (
                  <li key={rule.name}>
                    <Row rule={rule} body={watchOf(watches, rule.name)?.body} />
                  </li>
                ))}
              </ul>
            </Card>
          )
        );
      })}
    </div>
  );
}

function Row({ rule, body }: { rule: RuleSpec; body: View<'watch'>['body'] | undefined }) {
  const on = body?.on ?? rule.on;
  return (
    <Link to={`/watch/${rule.name}`} class={on ? 'watch-row' : 'watch-row watch-off'}>
      <Icon name={iconOf(rule.name)} />
      <span class="grow">
        <strong>{ruleTitle(rule.name)}</strong>
        <span class="soft small watch-line">{ruleQuestion(rule)}</span>
      </span>
      <span class="watch-state">
        {t(on ? 'watch.is_on' : 'watch.is_off')}
        {isChanged(rule, body) && <span class="soft small watch-line">{t('watch.changed')}</span>}
      </span>
      <Icon name="next" />
    </Link>
  );
}

function Unknown() {
  return (
    <div class="page">
      <PageHeader title={t('watch.title')} back="/watch" />
      <EmptyState
        title={t('watch.unknown')}
        action={<ButtonLink to="/watch">{t('warnings.all_settings')}</ButtonLink>}
      >
        {t('watch.unknown_text')}
      </EmptyState>
    </div>
  );
}
