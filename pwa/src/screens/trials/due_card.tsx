import { ButtonLink, Card } from '../../parts';
import { useLive } from '../../storage';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { loadTrials, TRIAL_TYPES } from './load';
import { phaseWords } from './words';

/** What `TrialsDue` shows; `undefined` until it is read. */
export function useTrialsDue({ time_zone }: PlotFacts, now: number) {
  const hour = Math.floor(now / 3_600_000);
  return useLive(() => loadTrials(time_zone, new Date(), 'running'), [...TRIAL_TYPES], [time_zone, hour]);
}

/** On Now: trials that want something today. Nothing due, nothing shown. */
export function TrialsDue({ data }: { data: NonNullable<ReturnType<typeof useTrialsDue>> }) {
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
