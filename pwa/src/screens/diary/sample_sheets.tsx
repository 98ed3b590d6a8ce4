import { useId, useState } from 'preact/hooks';
import { Button, Caution, Field, Segmented, SelectField, Sheet, TextField } from '../../parts';
import { newId } from '../../storage';
import { type TextKey, t } from '../../text';
import { localDay, momentAt } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { saveTogether } from '../forms/undo';
import { useDraft } from '../forms/use_draft';
import { kept } from '../forms/write';
import { PhotoField } from '../photos/photo_field';
import { useTaking } from '../photos/taking';
import { byLabel } from '../plot/model';
import { clockOf } from './crop_sheet';
import { cropStories } from './crops';
import type { DiaryData } from './load';
import { PickBeds } from './pick_beds';
import { FoundWords, ShareWords } from './sample_words';
import {
  type DamageDraft,
  type DamageFault,
  damageFaults,
  damageSet,
  draftShare,
  emptyDamage,
  emptySoil,
  isFound,
  type SoilDraft,
  type SoilFault,
  soilFaults,
  soilSet,
} from './samples';
import { cropWords } from './step_sheet';
import { choiceWords, type Names } from './words';

type Props = { facts: PlotFacts; data: DiaryData; names: Names; onClose: () => void };

const CAUSES = ['slugs', 'wireworms', 'frost', 'pigeons', 'blight', 'unknown'] as const;

/** So many looked at, so many hurt; the share of the whole with its interval stands below while it is typed. */
export function DamageSheet(props: Props & { subject?: string }) {
  const { facts, data, names, subject = '', onClose } = props;
  const today = localDay(new Date(), facts.time_zone);
  const draft = useDraft<DamageDraft>(`damage:${subject}`, emptyDamage(today, subject));
  const taking = useTaking(`damage:${subject}`, facts);
  const [tried, setTried] = useState(false);
  const form = draft.value;
  const faults = damageFaults(form, today);
  const said = (fault: DamageFault) =>
    tried && faults.includes(fault) ? t(`samples.fault_${fault}`) : undefined;
  const stories = cropStories(data.crops, data.events, facts.time_zone).filter(({ ended_on }) => !ended_on);
  const share = draftShare(form);
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const observed_at = momentAt(form.day, clockOf(form.day, facts), facts.time_zone);
    const placeOf = new Map(stories.flatMap(({ id, place_id }) => (place_id ? [[id, place_id]] : [])));
    const set = damageSet(form, { observed_at, observer: facts.observer }, placeOf);
    const what = t('diary.type_damage');
    const items = [{ type: 'damage', id: newId(), set }];
    if (!(await kept(() => saveTogether([...items, ...taking.itemsOf(items)], t('past.did_save', { what })))))
      return;
    await draft.clear();
    await taking.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('samples.damage_title')} onClose={onClose}>
      <SelectField
        label={t('samples.subject')}
        value={form.subject}
        choices={[
          { value: '', label: t('diary.unset') },
          ...stories.map((story) => ({ value: `crop:${story.id}`, label: cropWords(story, names) })),
          ...placesOf(data).map(({ id, label }) => ({ value: `place:${id}`, label })),
        ]}
        onChoose={(chosen) => draft.change({ subject: chosen })}
      />
      <Fault words={said('subject')} />
      <div class="pair-grid">
        <TextField
          label={t('samples.examined')}
          inputMode="numeric"
          error={said('examined')}
          value={form.examined}
          onText={(examined) => draft.change({ examined })}
        />
        <TextField
          label={t('samples.damaged')}
          inputMode="numeric"
          error={said('damaged')}
          value={form.damaged}
          onText={(damaged) => draft.change({ damaged })}
        />
      </div>
      <p class="soft small">{t('samples.examined_hint')}</p>
      {share && <ShareWords share={share} />}
      <CauseField value={form.cause} onText={(cause) => draft.change({ cause })} />
      <Ending form={form} said={said('day')} change={draft.change} />
      <PhotoField taking={taking} />
      <Button kind="main" wide disabled={taking.progress !== undefined} onClick={() => void save()}>
        {t('samples.save_damage')}
      </Button>
    </Sheet>
  );
}

/** Cores searched for wireworms; what they say of a square metre stands below while it is typed. */
export function SoilSheet({ facts, data, onClose }: Props) {
  const today = localDay(new Date(), facts.time_zone);
  const draft = useDraft<SoilDraft>('soil_sample', emptySoil(today, data.samples));
  const taking = useTaking('soil_sample', facts);
  const [tried, setTried] = useState(false);
  const form = draft.value;
  const faults = soilFaults(form, today);
  const said = (fault: SoilFault) =>
    tried && faults.includes(fault) ? t(`samples.fault_${fault}`) : undefined;
  const places = placesOf(data);
  const chosen = places.filter(({ id }) => form.place_ids.includes(id));
  const n = chosen.length;
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const observed_at = momentAt(form.day, clockOf(form.day, facts), facts.time_zone);
    const at = { observed_at, observer: facts.observer };
    const items = form.place_ids.map((id) => ({
      type: 'soil_sample',
      id: newId(),
      set: soilSet(form, at, id),
    }));
    const what = n > 1 ? t('bulk.entries', { n }) : t('diary.type_soil_sample');
    if (!(await kept(() => saveTogether([...items, ...taking.itemsOf(items)], t('past.did_save', { what })))))
      return;
    await draft.clear();
    await taking.clear();
    onClose();
  };
  const number = (field: 'cores' | 'diameter_cm' | 'depth_cm', name: 'cores' | 'diameter' | 'depth') => (
    <TextField
      label={t(`samples.${name}`)}
      inputMode={field === 'cores' ? 'numeric' : 'decimal'}
      error={said(name)}
      value={form[field]}
      onText={(text) => draft.change({ [field]: text })}
    />
  );
  if (!draft.ready) return null;
  return (
    <Sheet title={t('samples.soil_title')} onClose={onClose}>
      <PickBeds
        label={t('samples.place')}
        error={said('place')}
        places={places}
        chosen={form.place_ids}
        onChange={(place_ids) => draft.change({ place_ids })}
      />
      <div class="pair-grid">
        {number('cores', 'cores')}
        {number('diameter_cm', 'diameter')}
        {number('depth_cm', 'depth')}
        {chosen.map(({ id, label }) => (
          <TextField
            key={id}
            label={n > 1 ? t('bulk.found_in', { place: label }) : t('samples.found')}
            inputMode="numeric"
            error={isFound(form, id) ? undefined : said('found')}
            value={form.found[id] ?? ''}
            onText={(text) => draft.change({ found: { ...form.found, [id]: text } })}
          />
        ))}
      </div>
      <Segmented
        label={t('samples.method')}
        value={form.method}
        choices={(['hand_sort', 'wash'] as const).map((value) => ({ value, label: choiceWords(value) }))}
        onChoose={(method) => draft.change({ method })}
      />
      <FoundWords form={form} places={chosen} />
      <Caution>{t('treatment.caution_gloves')}</Caution>
      <Ending form={form} said={said('day')} change={draft.change} />
      <PhotoField taking={taking} />
      <Button kind="main" wide disabled={taking.progress !== undefined} onClick={() => void save()}>
        {n > 1 ? t('bulk.save_samples', { n }) : t('samples.save_soil')}
      </Button>
    </Sheet>
  );
}

function placesOf(data: DiaryData) {
  return data.places.filter((place) => !place.archived && place.kind !== 'path').sort(byLabel);
}

function Fault({ words }: { words: string | undefined }) {
  if (!words) return null;
  return (
    <p class="field-error" role="alert">
      {words}
    </p>
  );
}

/** Day and note, which every form ends with. */
function Ending(props: {
  form: { day: string; note: string };
  said: string | undefined;
  change: (next: { day?: string; note?: string }) => void;
}) {
  return (
    <>
      <TextField
        label={t('forms.day')}
        type="date"
        error={props.said}
        value={props.form.day}
        onText={(day) => day && props.change({ day })}
      />
      <TextField
        label={t('forms.note')}
        maxLength={4000}
        value={props.form.note}
        onText={(note) => props.change({ note })}
      />
    </>
  );
}

function CauseField({ value, onText }: { value: string; onText: (text: string) => void }) {
  const causes = useId();
  return (
    <>
      <Field label={t('samples.cause')}>
        {(ids) => (
          <input
            {...ids}
            class="input"
            list={causes}
            maxLength={200}
            value={value}
            onInput={(event) => onText(event.currentTarget.value)}
          />
        )}
      </Field>
      <datalist id={causes}>
        {CAUSES.map((cause) => (
          <option key={cause} value={t(`samples.cause_${cause}` as TextKey)} />
        ))}
      </datalist>
    </>
  );
}
