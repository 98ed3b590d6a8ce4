import { useId, useState } from 'preact/hooks';
import { Button, Caution, Field, Notice, Segmented, SelectField, Sheet, TextField } from '../../parts';
import { decimals, intervalWords, type TextKey, t } from '../../text';
import { localDay, momentAt } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { kept, saveNew } from '../forms/write';
import { byLabel } from '../plot/model';
import { clockOf } from './crop_sheet';
import { cropStories } from './crops';
import type { DiaryData } from './load';
import {
  type DamageDraft,
  type DamageFault,
  damageFaults,
  damageSet,
  densityOf,
  draftShare,
  emptyDamage,
  emptySoil,
  type Share,
  type SoilDensity,
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
    if (!(await kept(() => saveNew('damage', set)))) return;
    await draft.clear();
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
      <Button kind="main" wide onClick={() => void save()}>
        {t('samples.save_damage')}
      </Button>
    </Sheet>
  );
}

/** Cores searched for wireworms; what they say of a square metre stands below while it is typed. */
export function SoilSheet({ facts, data, onClose }: Props) {
  const today = localDay(new Date(), facts.time_zone);
  const draft = useDraft<SoilDraft>('soil_sample', emptySoil(today, data.samples));
  const [tried, setTried] = useState(false);
  const form = draft.value;
  const faults = soilFaults(form, today);
  const said = (fault: SoilFault) =>
    tried && faults.includes(fault) ? t(`samples.fault_${fault}`) : undefined;
  const found = faults.every((fault) => fault === 'place' || fault === 'day')
    ? densityOf(soilSet(form, { observed_at: '', observer: '' }))
    : undefined;
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const observed_at = momentAt(form.day, clockOf(form.day, facts), facts.time_zone);
    if (!(await kept(() => saveNew('soil_sample', soilSet(form, { observed_at, observer: facts.observer })))))
      return;
    await draft.clear();
    onClose();
  };
  const number = (
    field: 'cores' | 'diameter_cm' | 'depth_cm' | 'found',
    name: 'cores' | 'diameter' | 'depth' | 'found',
  ) => (
    <TextField
      label={t(`samples.${name}`)}
      inputMode={field === 'cores' || field === 'found' ? 'numeric' : 'decimal'}
      error={said(name)}
      value={form[field]}
      onText={(text) => draft.change({ [field]: text })}
    />
  );
  if (!draft.ready) return null;
  return (
    <Sheet title={t('samples.soil_title')} onClose={onClose}>
      <SelectField
        label={t('samples.place')}
        value={form.place_id}
        choices={[
          { value: '', label: t('diary.unset') },
          ...placesOf(data).map(({ id, label }) => ({ value: id, label })),
        ]}
        onChoose={(place_id) => draft.change({ place_id })}
      />
      <Fault words={said('place')} />
      <div class="pair-grid">
        {number('cores', 'cores')}
        {number('diameter_cm', 'diameter')}
        {number('depth_cm', 'depth')}
        {number('found', 'found')}
      </div>
      <Segmented
        label={t('samples.method')}
        value={form.method}
        choices={(['hand_sort', 'wash'] as const).map((value) => ({ value, label: choiceWords(value) }))}
        onChoose={(method) => draft.change({ method })}
      />
      {found && <DensityWords density={found} />}
      <Caution>{t('treatment.caution_gloves')}</Caution>
      <Ending form={form} said={said('day')} change={draft.change} />
      <Button kind="main" wide onClick={() => void save()}>
        {t('samples.save_soil')}
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

const percentWords = (percent: number): string => decimals(percent, percent < 10 ? 1 : 0);

function ShareWords({ share }: { share: Share }) {
  const places = share.high < 10 ? 1 : 0;
  return (
    <Notice live>
      <p class="diary-figure figures">{t('samples.share', { percent: percentWords(share.percent) })}</p>
      <p>
        {share.up_to === undefined
          ? t('samples.share_range', { range: intervalWords(share.low, share.high, places) })
          : t('samples.share_none', { percent: percentWords(share.up_to) })}
      </p>
    </Notice>
  );
}

function DensityWords({ density }: { density: SoilDensity }) {
  const fill = { found: density.found, area: decimals(density.area_m2, density.area_m2 < 0.1 ? 3 : 2) };
  return (
    <Notice live>
      <p class="diary-figure figures">{t('samples.per_m2', { per_m2: decimals(density.per_m2, 0) })}</p>
      <p>
        {density.found === 0
          ? t('samples.density_none', { ...fill, per_m2: decimals(density.up_to, 0) })
          : t('samples.density_range', {
              ...fill,
              range: intervalWords(density.low, density.high, 0),
              per_ha: decimals(density.per_ha, 0),
            })}
      </p>
      <p class="soft small">{t('samples.recovery', { percent: decimals(density.recovery * 100, 0) })}</p>
    </Notice>
  );
}
