import { useState } from 'preact/hooks';
import { Button, ButtonLink, Card, Notice, PageHeader } from '../../parts';
import { navigate } from '../../parts/router';
import { remove, useLive } from '../../storage';
import { t } from '../../text';
import { dayWords } from '../forms/local_time';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { kept, saveChange } from '../forms/write';
import { Counts } from './counts';
import { EditSheet } from './edit_sheet';
import { FlawList } from './flaw_list';
import { flawsOf } from './flaws';
import { loadTrial, type OneTrial, type Story, TRIAL_TYPES } from './load';
import { treatedOn } from './model';
import { Result } from './result';
import { Sides } from './sides';
import { candidatesOf } from './treated';
import { TreatedSheet } from './treated_sheet';
import { kindWords, phaseWords } from './words';

/** One trial as it runs: where it stands, what is due, both sides, the counts, the answer and what speaks against it. */
export function OneTrialPage({ id, facts }: { id: string; facts: PlotFacts }) {
  const zone = facts.time_zone;
  const data = useLive(() => loadTrial(id, zone, new Date()), [...TRIAL_TYPES], [id, zone]);
  const [open, setOpen] = useState<'treated' | 'edit' | undefined>(undefined);
  if (!data) return <div class="page" aria-busy="true" />;
  const { story, today, ground, treatments } = data;
  if (!story) {
    return (
      <div class="page">
        <PageHeader title={t('trials.title')} back="/trials" />
        <Notice action={<ButtonLink to="/trials">{t('trials.to_all')}</ButtonLink>}>
          {t('trials.not_there')}
        </Notice>
      </div>
    );
  }
  const { trial, units, counted, standing } = story;
  const flaws = flawsOf(trial, units, { places: ground.places, treatments, counted, today });
  const writes = mayRecord(facts);
  const counts = standing.phase !== 'planned' && standing.phase !== 'unset';
  return (
    <div class="page trial-page">
      <PageHeader title={trial.name ?? t('trials.unnamed')} back="/trials" under={trial.question} />
      <div class="trial-column">
        <NowCard story={story} data={data} writes={writes} onTreated={() => setOpen('treated')} />
        {counts && <Result story={story} />}
        <Card title={t('trials.flaws')}>
          <FlawList flaws={flaws} today={today} />
        </Card>
      </div>
      <div class="trial-column">
        {counts && <Counts story={story} today={today} />}
        <Card title={t('trials.sides')}>
          <Sides units={units} blocked={trial.allocation === 'blocked'} />
          <p class="soft small">{drawWords(story)}</p>
        </Card>
        {writes && <Change story={story} onEdit={() => setOpen('edit')} />}
      </div>
      {open === 'treated' && (
        <TreatedSheet story={story} facts={facts} known={treatments} onClose={() => setOpen(undefined)} />
      )}
      {open === 'edit' && <EditSheet trial={trial} onClose={() => setOpen(undefined)} />}
    </div>
  );
}

function drawWords({ trial }: Story): string {
  const { allocation, seed } = trial;
  if (allocation === undefined || allocation === 'chosen' || seed === undefined)
    return t('trials.drawn_chosen');
  return t(`trials.drawn_${allocation}`, { seed });
}

type NowProps = { story: Story; data: OneTrial; writes: boolean; onTreated: () => void };

function NowCard({ story, data, writes, onTreated }: NowProps) {
  const { trial, standing, due, counted } = story;
  const { today } = data;
  const n = (when: 'before' | 'after') => counted.rows.filter((row) => row.when === when).length;
  return (
    <Card title={phaseWords(story, today)} tone={due ? 'glow' : 'plain'} icon="plank">
      <p>
        {t('trials.days', {
          what: kindWords(trial.kind),
          from: said(trial.before_from, today),
          treat: said(standing.treat_on, today),
          after: said(trial.after_from, today),
          to: said(trial.after_to, today),
        })}
      </p>
      <p class="soft">{t('trials.rounds_so_far', { before: n('before'), after: n('after') })}</p>
      {due && <p class="trial-due">{t(`trials.due_${due}`)}</p>}
      {writes && (due === 'count_before' || due === 'count_after') && (
        <ButtonLink kind="main" wide to="/">
          {t('trials.to_round')}
        </ButtonLink>
      )}
      {writes && !standing.treated && standing.day !== undefined && standing.day >= -7 && (
        <>
          <Candidates story={story} data={data} />
          {/* A trial that is over is not begun anew by a treatment of today: its days would move along. */}
          {standing.phase !== 'over' && (
            <Button kind={due === 'treat' ? 'main' : 'plain'} wide onClick={onTreated}>
              {t('trials.write_treatment')}
            </Button>
          )}
        </>
      )}
    </Card>
  );
}

const said = (day: string | undefined, today: string): string => (day ? dayWords(day, today) : '?');

/** Treatments that stand in the diary and could be the one of this trial. */
function Candidates({ story, data }: { story: Story; data: OneTrial }) {
  return (
    <>
      {candidatesOf(story.trial, data.treatments).map(({ id, day }) => (
        <Button
          key={id}
          wide
          onClick={() =>
            kept(() =>
              saveChange('trial', story.trial.id, { ...treatedOn(story.trial, day), treatment_ids: [id] }),
            )
          }
        >
          {t('trials.it_was', { day: dayWords(day, data.today) })}
        </Button>
      ))}
    </>
  );
}

function Change({ story, onEdit }: { story: Story; onEdit: () => void }) {
  const [sure, setSure] = useState(false);
  const drop = async () => {
    if (await kept(() => remove(story.trial.id))) navigate('/trials', { replace: true });
  };
  return (
    <Card title={t('trials.change')}>
      <div class="trial-change">
        <Button icon="edit" onClick={onEdit}>
          {t('trials.edit')}
        </Button>
        <Button onClick={() => setSure(!sure)} aria-expanded={sure}>
          {t('trials.remove')}
        </Button>
      </div>
      {sure && (
        <Notice
          tone="bad"
          live
          action={
            <Button kind="bad" onClick={drop}>
              {t('trials.remove_sure')}
            </Button>
          }
        >
          {t('trials.remove_text')}
        </Notice>
      )}
    </Card>
  );
}
