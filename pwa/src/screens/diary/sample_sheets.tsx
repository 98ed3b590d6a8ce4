import { useId, useState } from 'preact/hooks';
import { Button, Caution, Field, Notice, Segmented, SelectField, Sheet, TextField } from '../../parts';
import { newId } from '../../storage';
import { decimals, intervalWords, type TextKey, t } from '../../text';
import { localDay, momentAt } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { saveTogether } from '../forms/undo';
import { useDraft } from '../forms/use_draft';
import { kept } from '../forms/write';
import { byLabel } from '../plot/model';
import { clockOf } from './crop_sheet';
import { cropStories } from './crops';
import type { DiaryData } from './load';
import { PickBeds } from './pick_beds';
import {
  type DamageDraft,
  type DamageFault,
  damageFaults,
  damageSet,
  densityOf,
  draftShare,
  emptyDamage,
  emptySoil,
  isFound,
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
    const what = t('diary.type_damage');
    const items = [{ type: 'damage', id: newId(), set }];
    if (!(await kept(() => saveTogether(items, t('past.did_save', { what }))))) return;
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
    if (!(await kept(() => saveTogether(items, t('past.did_save', { what }))))) return;
    await draft.clear();
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
      <Button kind="main" wide onClick={() => void save()}>
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

/** What the cores say of the ground, as soon as they say something: in full for one place, a line for each of several. */
function FoundWords({ form, places }: { form: SoilDraft; places: readonly { id: string; label: string }[] }) {
  const told = places.flatMap(({ id, label }) => {
    const density = isFound(form, id)
      ? densityOf(soilSet(form, { observed_at: '', observer: '' }, id))
      : undefined;
    return density ? [{ label, density }] : [];
  });
  if (places.length === 1) return told[0] ? <DensityWords density={told[0].density} /> : null;
  if (told.length === 0) return null;
  return (
    <Notice live>
      <ul class="harvest-waits">
        {told.map(({ label, density }) => (
          <li key={label}>{densityLine(label, density)}</li>
        ))}
      </ul>
    </Notice>
  );
}

function densityLine(place: string, density: SoilDensity): string {
  if (density.found === 0) return t('bulk.density_line_none', { place, per_m2: decimals(density.up_to, 0) });
  const range = intervalWords(density.low, density.high, 0);
  return t('bulk.density_line', { place, per_m2: decimals(density.per_m2, 0), range });
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
