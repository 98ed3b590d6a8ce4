import { useState } from 'preact/hooks';
import { Button, Notice, SelectField, Sheet, TextField } from '../../parts';
import { newId } from '../../storage';
import { t } from '../../text';
import { dayWords, localDay, momentAt } from '../forms/local_time';
import { PickOne } from '../forms/pick_one';
import type { PlotFacts } from '../forms/plot_facts';
import { saveTogether } from '../forms/undo';
import { useDraft } from '../forms/use_draft';
import { kept } from '../forms/write';
import { PhotoField } from '../photos/photo_field';
import { useTaking } from '../photos/taking';
import { byLabel } from '../plot/model';
import type { Pickable } from './bulk';
import { clockOf } from './crop_sheet';
import {
  type CropFault,
  type CropStory,
  canMove,
  canRepeat,
  emptyStep,
  HAPPENINGS,
  type Happening,
  STAGES,
  type StageCode,
  type StepDraft,
  stepFaults,
  stepItems,
} from './crops';
import type { DiaryData } from './load';
import { PickBeds } from './pick_beds';
import { waits } from './waiting';
import { choiceWords, type Names, titleOf } from './words';

type Props = {
  facts: PlotFacts;
  data: DiaryData;
  names: Names;
  story: CropStory;
  /** Crops still growing, this one among them. */
  growing: readonly CropStory[];
  onClose: () => void;
};

export const happeningWords = (what: string): string =>
  what === 'cleared' ? t('crops.cleared') : choiceWords(what);

export function StepSheet({ facts, data, names, story, growing, onClose }: Props) {
  const today = localDay(new Date(), facts.time_zone);
  const draft = useDraft<StepDraft>(`crop_step:${story.id}`, emptyStep(today));
  const [tried, setTried] = useState(false);
  const taking = useTaking(`step:${story.id}`, facts);
  const form = draft.value;
  const faults = stepFaults(form, today, story.started_on);
  const said = (fault: CropFault) =>
    tried && faults.includes(fault) ? t(`crops.fault_${fault}`) : undefined;
  const others = growing.filter(({ id }) => id !== story.id);
  const n = 1 + (canRepeat(form.what) ? form.also.length : 0);
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const observed_at = momentAt(form.day, clockOf(form.day, facts), facts.time_zone);
    const views = new Map(data.crops.map((view) => [view.id, view]));
    const items = stepItems(form, story.id, views, { observed_at, observer: facts.observer }, newId);
    const what = n > 1 ? t('bulk.entries', { n }) : `${story.kind}: ${happeningWords(form.what)}`;
    if (
      !(await kept(() =>
        saveTogether(
          [...items, ...taking.itemsOf(items.filter(({ type }) => type === 'crop_event'))],
          t('past.did_save', { what }),
        ),
      ))
    )
      return;
    await draft.clear();
    await taking.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('crops.step_title', { crop: cropWords(story, names) })} onClose={onClose}>
      <PickOne<Happening>
        label={t('crops.what')}
        error={said('what')}
        chosen={form.what}
        choices={HAPPENINGS.map((value) => ({ value, label: happeningWords(value) }))}
        onChoose={(what) => draft.change({ what })}
      />
      {form.what === 'stage' && (
        <PickOne<StageCode>
          label={t('crops.stage_pick')}
          error={said('stage')}
          chosen={form.stage}
          choices={STAGES.map(([value]) => ({ value, label: t(`crops.stage_${value}`) }))}
          onChoose={(stage) => draft.change({ stage })}
        />
      )}
      {form.what === 'harvested' && (
        <Harvest form={form} said={said} change={draft.change} wait={waitOf(story, data, facts, form.day)} />
      )}
      {canMove(form.what) && (
        <SelectField
          label={t('crops.to_place')}
          value={form.place_id}
          choices={[
            { value: '', label: t('crops.same_place') },
            ...data.places
              .filter((place) => !place.archived)
              .sort(byLabel)
              .map((place) => ({ value: place.id, label: place.label })),
          ]}
          onChoose={(place_id) => draft.change({ place_id })}
        />
      )}
      <TextField
        label={t('forms.day')}
        type="date"
        error={said('day') ?? said('before')}
        value={form.day}
        onText={(day) => day && draft.change({ day })}
      />
      {canRepeat(form.what) && others.length > 0 && (
        <PickBeds
          label={t('crops.also')}
          hint={t('crops.also_hint')}
          places={others.map((other) => asChoice(other, names)).sort(byLabel)}
          anchor={asChoice(story, names)}
          kindWords={(name) => t('bulk.all_named', { name })}
          chosen={form.also}
          onChange={(also) => draft.change({ also })}
        />
      )}
      {form.what !== 'cleared' && (
        <TextField
          label={t('forms.note')}
          maxLength={4000}
          value={form.note}
          onText={(note) => draft.change({ note })}
        />
      )}
      {tried && faults[0] && <p class="field-error">{t(`crops.fault_${faults[0]}`)}</p>}
      {form.what !== 'cleared' && <PhotoField taking={taking} />}
      <Button kind="main" wide disabled={taking.progress !== undefined} onClick={() => void save()}>
        {n > 1 ? t('crops.save_steps', { n }) : t('crops.save_step')}
      </Button>
    </Sheet>
  );
}

/** "Potato · Charlotte · Bed 3", with the place it stands in now. */
export function cropWords(story: CropStory, names: Names): string {
  const { view, place_id } = story;
  return titleOf({ ...view, body: { ...view.body, place_id } }, names);
}

const asChoice = (story: CropStory, names: Names): Pickable => ({
  id: story.id,
  label: cropWords(story, names),
  kind: story.kind,
});

/** What forbids harvest of this crop on that day, in words. */
function waitOf(story: CropStory, data: DiaryData, facts: PlotFacts, day: string): string | undefined {
  const wait = waits(data.treatments, facts.time_zone, day)
    .filter(
      ({ place_id, treatment }) =>
        place_id === story.place_id && localDay(String(treatment.body.observed_at), facts.time_zone) <= day,
    )
    .at(-1);
  if (!wait) return undefined;
  const { product, kind } = wait.treatment.body;
  const what = product ? String(product) : choiceWords(kind);
  return t('crops.wait_harvest', { day: dayWords(wait.until, day), what });
}

function Harvest(props: {
  form: StepDraft;
  said: (fault: CropFault) => string | undefined;
  change: (next: Partial<StepDraft>) => void;
  wait: string | undefined;
}) {
  const { form, said, change, wait } = props;
  return (
    <>
      {wait && <Notice tone="bad">{wait}</Notice>}
      <div class="pair-grid">
        <TextField
          label={t('crops.kg')}
          inputMode="decimal"
          error={said('kg') ?? said('harvest')}
          value={form.kg}
          onText={(kg) => change({ kg })}
        />
        <TextField
          label={t('crops.count')}
          inputMode="numeric"
          error={said('count')}
          value={form.count}
          onText={(count) => change({ count })}
        />
      </div>
    </>
  );
}
