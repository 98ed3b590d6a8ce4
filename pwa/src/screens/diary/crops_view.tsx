import { useState } from 'preact/hooks';
import { Button, EmptyState } from '../../parts';
import { decimals, t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { CropSheet } from './crop_sheet';
import { type CropStory, cropStories, type Step } from './crops';
import { StandingMark } from './entry_row';
import type { DiaryData } from './load';
import { type DiaryView, standingOf } from './model';
import { DamageSheet } from './sample_sheets';
import { cropWords, happeningWords, StepSheet } from './step_sheet';
import { type Names, stageWords } from './words';

type Props = {
  facts: PlotFacts;
  data: DiaryData;
  names: Names;
  canWrite: boolean;
  onEdit: (view: DiaryView) => void;
};

type Open = { act: 'start' } | { act: 'step' | 'damage'; story: CropStory };

/** One card a crop, with its story; those that were cleared are folded away. */
export function CropsView(props: Props) {
  const { facts, data, names, canWrite } = props;
  const [open, setOpen] = useState<Open | undefined>(undefined);
  const stories = cropStories(data.crops, data.events, facts.time_zone);
  const growing = stories.filter((story) => !story.ended_on);
  const gone = stories.filter((story) => story.ended_on);
  const close = () => setOpen(undefined);
  const card = (story: CropStory) => (
    <CropCard key={story.id} {...props} story={story} onAct={(act) => setOpen({ act, story })} />
  );
  return (
    <>
      {canWrite && (
        <Button kind="main" icon="plus" onClick={() => setOpen({ act: 'start' })}>
          {t('crops.start')}
        </Button>
      )}
      {stories.length === 0 && (
        <EmptyState title={t('crops.empty_title')}>{t('crops.empty_text')}</EmptyState>
      )}
      {growing.map(card)}
      {gone.length > 0 && (
        <details class="diary-filter">
          <summary>{t('crops.gone', { n: gone.length })}</summary>
          <div class="stack">{gone.map(card)}</div>
        </details>
      )}
      {open?.act === 'start' && <CropSheet facts={facts} data={data} onClose={close} />}
      {open?.act === 'step' && (
        <StepSheet
          facts={facts}
          data={data}
          names={names}
          story={open.story}
          growing={growing}
          onClose={close}
        />
      )}
      {open?.act === 'damage' && (
        <DamageSheet
          facts={facts}
          data={data}
          names={names}
          subject={`crop:${open.story.id}`}
          onClose={close}
        />
      )}
    </>
  );
}

/** Steps shown at once; the ones before them are folded away. */
const SHOWN = 5;

function CropCard(props: Props & { story: CropStory; onAct: (act: 'step' | 'damage') => void }) {
  const { story, names, facts, canWrite, onEdit, onAct } = props;
  const today = localDay(new Date(), facts.time_zone);
  const early = story.steps.slice(0, Math.max(0, story.steps.length - SHOWN));
  const late = story.steps.slice(early.length);
  const batch = story.view.body.seed_batch;
  const rows = (steps: readonly Step[]) => (
    <ol class="crop-story">
      {steps.map((step) => (
        <StepRow key={step.view.id} step={step} names={names} today={today} onEdit={onEdit} />
      ))}
    </ol>
  );
  return (
    <article class="crop-card" aria-label={cropWords(story, names)}>
      <button type="button" class="crop-head" onClick={() => onEdit(story.view)}>
        <span class="grow">
          <strong>{[story.kind, story.view.body.variety].filter(Boolean).join(' · ')}</strong>
          <span class="small">
            {[
              story.place_id ? names.place.get(story.place_id) : '',
              batch ? t('crops.batch', { batch: String(batch) }) : '',
              story.ended_on ? `${t('crops.ended')} ${dayWords(story.ended_on, today)}` : '',
            ]
              .filter(Boolean)
              .join(' · ')}
          </span>
        </span>
        {harvestWords(story) && (
          <span class="crop-yield figures">{t('crops.harvested', { words: harvestWords(story) })}</span>
        )}
      </button>
      <div class="crop-body">
        <StandingMark standing={standingOf(story.view)} />
        {early.length > 0 && (
          <details class="diary-filter">
            <summary>{t('crops.earlier', { n: early.length })}</summary>
            {rows(early)}
          </details>
        )}
        {late.length > 0 && rows(late)}
        {canWrite && !story.ended_on && (
          <div class="row-apart crop-acts">
            <Button onClick={() => onAct('step')}>{t('crops.step_add')}</Button>
            <Button kind="quiet" onClick={() => onAct('damage')}>
              {t('samples.add_damage')}
            </Button>
          </div>
        )}
      </div>
    </article>
  );
}

function StepRow(props: { step: Step; names: Names; today: string; onEdit: (view: DiaryView) => void }) {
  const { step, names, today } = props;
  const { body } = step.view;
  const moved = step.moved_to ? names.place.get(step.moved_to) : '';
  const detail = [
    body.kg === undefined ? '' : `${decimals(Number(body.kg))}\u00a0kg`,
    body.count === undefined ? '' : t('crops.pieces', { n: Number(body.count) }),
    moved ?? '',
    body.note ? String(body.note) : '',
  ].filter(Boolean);
  return (
    <li>
      <button type="button" class="crop-step" onClick={() => props.onEdit(step.view)}>
        <span class="crop-day figures">{dayWords(step.day, today)}</span>
        <span class="grow">
          <strong>{stepWords(step)}</strong>
          {detail.length > 0 && <span class="small"> {detail.join(' · ')}</span>}
          <StandingMark standing={standingOf(step.view)} />
        </span>
        {step.since !== undefined && step.since > 0 && (
          <span class="soft small figures">{t('crops.since', { n: step.since })}</span>
        )}
      </button>
    </li>
  );
}

function stepWords(step: Step): string {
  return (step.what === 'stage' && stageWords(step.view.body.stage)) || happeningWords(step.what);
}

function harvestWords({ kg, pieces }: CropStory): string {
  return [kg > 0 ? `${decimals(kg)}\u00a0kg` : '', pieces > 0 ? t('crops.pieces', { n: pieces }) : '']
    .filter(Boolean)
    .join(', ');
}
