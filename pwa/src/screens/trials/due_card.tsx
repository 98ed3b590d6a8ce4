import { ButtonLink, Card } from '../../parts';
import type { Ask } from '../../storage';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { loadTrials } from './load';
import { phaseWords } from './words';

/** What `TrialsDue` shows. */
export function readTrialsDue({ time_zone }: PlotFacts, ask: Ask) {
  return loadTrials(time_zone, new Date(), 'running', ask);
}

/** On Now: trials that want something today. Nothing due, nothing shown. */
export function TrialsDue({ data }: { data: Awaited<ReturnType<typeof readTrialsDue>> }) {
  const due = data.stories.filter((story) => story.due !== undefined);
  return (
    <>
      {due.map((story) => (
        <Card
          key={story.trial.id}
          title={t('trials.due_title', { name: story.trial.name ?? '' })}
          icon="plank"
        >
          <p>
            {phaseWords(story, data.today)} {story.due && t(`trials.due_${story.due}`)}
          </p>
          <ButtonLink wide to={`/trials/${story.trial.id}`}>
            {t('trials.open')}
          </ButtonLink>
        </Card>
      ))}
    </>
  );
}
