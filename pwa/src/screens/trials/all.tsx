import { ButtonLink, Card, EmptyState, PageHeader } from '../../parts';
import { useLive } from '../../storage';
import { t } from '../../text';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { answerOf } from './answer';
import { loadTrials, type Story, TRIAL_TYPES } from './load';
import { answerWords, phaseWords } from './words';

/** Every trial: what runs, what is due, and what the ones that are over said. */
export function AllTrials({ facts }: { facts: PlotFacts }) {
  const zone = facts.time_zone;
  const data = useLive(() => loadTrials(zone, new Date()), [...TRIAL_TYPES], [zone]);
  if (!data) return <div class="page" aria-busy="true" />;
  const plan = mayRecord(facts) && (
    <ButtonLink kind="main" icon="plus" wide to="/trials/new">
      {t('trials.plan')}
    </ButtonLink>
  );
  return (
    <div class="page">
      <PageHeader title={t('trials.title')} back="/findings" under={t('trials.under')} />
      {data.stories.length === 0 ? (
        <EmptyState title={t('trials.none_title')} action={plan}>
          {t('trials.none_text')}
        </EmptyState>
      ) : (
        plan
      )}
      {data.stories.map((story) => (
        <TrialCard key={story.trial.id} story={story} today={data.today} />
      ))}
    </div>
  );
}

export function TrialCard({ story, today }: { story: Story; today: string }) {
  const { trial, standing, due } = story;
  const after = standing.phase === 'after' || standing.phase === 'over';
  return (
    <Card title={trial.name ?? t('trials.unnamed')} tone={due ? 'glow' : 'plain'}>
      {trial.question && <p class="soft">{trial.question}</p>}
      <p>{phaseWords(story, today)}</p>
      {after && (
        <p>
          <strong>{answerWords(answerOf(trial, story.counted), trial)}</strong>
        </p>
      )}
      {due && <p class="trial-due">{t(`trials.due_${due}`)}</p>}
      <ButtonLink wide to={`/trials/${trial.id}`}>
        {t('trials.open')}
      </ButtonLink>
    </Card>
  );
}
