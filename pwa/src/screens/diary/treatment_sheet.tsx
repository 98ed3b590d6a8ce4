import { useState } from 'preact/hooks';
import {
  Button,
  Caution,
  LongTextField,
  Notice,
  Segmented,
  SelectField,
  Sheet,
  TextField,
} from '../../parts';
import { newId } from '../../storage';
import { decimals, inOurWords, t } from '../../text';
import { daysBetween, dayWords, localClock, localDay, momentAt } from '../forms/local_time';
import { MomentField } from '../forms/moment_field';
import { PickPlaces } from '../forms/pick_places';
import type { PlotFacts } from '../forms/plot_facts';
import { saveTogether } from '../forms/undo';
import { useDraft } from '../forms/use_draft';
import { kept } from '../forms/write';
import { PhotoField } from '../photos/photo_field';
import { useTaking } from '../photos/taking';
import { byLabel } from '../plot/model';
import type { DiaryData } from './load';
import { PickBeds } from './pick_beds';
import {
  areaTaken,
  cautionsFor,
  drenchAdvice,
  emptyTreatment,
  harvestFrom,
  isBlank,
  isDrench,
  isProduct,
  lastTime,
  TREATMENT_KINDS,
  type TreatmentDraft,
  type TreatmentFault,
  type TreatmentKind,
  treatmentFaults,
  treatmentSet,
} from './treatment';
import { Amounts } from './treatment_amounts';
import { choiceWords } from './words';

type Props = {
  facts: PlotFacts;
  data: DiaryData;
  /** Where the half-filled form is kept; a culture's dose has filled one of its own. */
  draftKey?: string;
  onClose: () => void;
};

export function TreatmentSheet({ facts, data, draftKey = 'treatment', onClose }: Props) {
  const now = new Date();
  const draft = useDraft<TreatmentDraft>(
    draftKey,
    emptyTreatment(localDay(now, facts.time_zone), localClock(now, facts.time_zone)),
  );
  const [tried, setTried] = useState(false);
  const taking = useTaking(draftKey, facts);
  const form = draft.value;
  const faults = treatmentFaults(form);
  const said = (fault: TreatmentFault) =>
    tried && faults.includes(fault) ? t(`treatment.fault_${fault}`) : undefined;
  const places = data.places.filter((place) => !place.archived).sort(byLabel);
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const observed_at = momentAt(form.day, form.clock, facts.time_zone);
    const set = treatmentSet(form, { observed_at, observer: facts.observer, unit: facts.unit });
    const used = form.culture_id
      ? [{ type: 'culture', id: form.culture_id, set: { used_at: observed_at } }]
      : [];
    const items = [{ type: 'treatment', id: newId(), set }, ...used];
    const what = choiceWords(form.kind);
    if (
      !(await kept(() =>
        saveTogether([...items, ...taking.itemsOf(items.slice(0, 1))], t('past.did_save', { what })),
      ))
    )
      return;
    await draft.clear();
    await taking.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('treatment.title')} onClose={onClose}>
      <SelectField
        label={t('treatment.kind')}
        value={form.kind}
        choices={[
          ...(form.kind === '' ? [{ value: '' as TreatmentKind | '', label: t('diary.unset') }] : []),
          ...TREATMENT_KINDS.map((value) => ({
            value: value as TreatmentKind | '',
            label: choiceWords(value),
          })),
        ]}
        onChoose={(kind) => draft.change({ kind })}
      />
      {said('kind') && <Fault words={said('kind')} />}
      <Cautions kind={form.kind} />
      <PickBeds
        label={t('treatment.places')}
        error={said('places')}
        places={places}
        chosen={form.place_ids}
        onChange={(place_ids) => draft.change(areaTaken(form, place_ids, data.places))}
      />
      <PickPlaces
        label={t('treatment.control')}
        hint={t('treatment.control_hint')}
        error={said('control')}
        places={places.filter(
          ({ id }) => !form.place_ids.includes(id) || form.control_place_ids.includes(id),
        )}
        chosen={form.control_place_ids}
        onChange={(control_place_ids) => draft.change({ control_place_ids })}
      />
      <MomentField day={form.day} clock={form.clock} onChange={draft.change} />
      <AsLast form={form} data={data} change={draft.change} />
      {isProduct(form.kind) && <Product form={form} said={said} change={draft.change} />}
      <Amounts form={form} places={places} said={said} change={draft.change} />
      <Soil form={form} facts={facts} data={data} said={said} change={draft.change} />
      <LongTextField label={t('forms.note')} value={form.note} onText={(note) => draft.change({ note })} />
      {tried && faults.length > 0 && <Fault words={t(`treatment.fault_${faults[0] ?? 'kind'}`)} />}
      <PhotoField taking={taking} />
      <Button kind="main" wide disabled={taking.progress !== undefined} onClick={() => void save()}>
        {t('treatment.save')}
      </Button>
    </Sheet>
  );
}

function Fault({ words }: { words: string | undefined }) {
  return (
    <p class="field-error" role="alert">
      {words}
    </p>
  );
}

function Cautions({ kind }: { kind: TreatmentDraft['kind'] }) {
  const cautions = cautionsFor(kind);
  if (cautions.length === 0) return null;
  return (
    <div class="stack-tight treatment-cautions">
      {cautions.map((caution) => (
        <Caution key={caution}>{t(`treatment.caution_${caution}`)}</Caution>
      ))}
    </div>
  );
}

export type PartProps = {
  form: TreatmentDraft;
  said: (fault: TreatmentFault) => string | undefined;
  change: (next: Partial<TreatmentDraft>) => void;
};

/** The last values of this kind, to be taken with one press while nothing is typed. */
function AsLast({ form, data, change }: Omit<PartProps, 'said'> & { data: DiaryData }) {
  const last = lastTime(form.kind, data.treatments);
  if (!last || !isBlank(form)) return null;
  const { set, area } = last;
  const amount = set.amount === '' ? '' : `${set.amount} ${set.amount_unit}`;
  const much =
    amount && area !== undefined
      ? t('bulk.last_amount', { amount, area: Number.isInteger(area) ? area : decimals(area) })
      : amount;
  const water = set.water === '' ? '' : `${t('diary.f_water_l')} ${set.water} l`;
  const words = [set.product, set.authorisation_number, much, water].filter(Boolean).join(', ');
  return (
    <div class="row-apart">
      <p class="soft small">{t('crops.as_last', { words })}</p>
      <Button kind="quiet" onClick={() => change(set)}>
        {t('crops.as_last_go')}
      </Button>
    </div>
  );
}

function Product({ form, said, change }: PartProps) {
  const from = harvestFrom(form);
  return (
    <>
      <TextField
        label={t('treatment.product')}
        maxLength={200}
        error={said('product')}
        value={form.product}
        onText={(product) => change({ product })}
      />
      <TextField
        label={t('treatment.authorisation')}
        hint={t('treatment.authorisation_hint')}
        maxLength={80}
        value={form.authorisation_number}
        onText={(authorisation_number) => change({ authorisation_number })}
      />
      <TextField
        label={t('treatment.interval')}
        hint={t('treatment.interval_hint')}
        inputMode="numeric"
        error={said('harvest_interval_days')}
        value={form.harvest_interval_days}
        onText={(harvest_interval_days) => change({ harvest_interval_days })}
      />
      {from && <Notice tone="glow">{t('treatment.harvest_from', { day: dayWords(from, form.day) })}</Notice>}
    </>
  );
}

function Soil({ form, facts, data, said, change }: PartProps & { facts: PlotFacts; data: DiaryData }) {
  const advice = drenchAdvice(form, { unit: facts.unit, ...lastDrench(form, data, facts) });
  return (
    <>
      <TextField
        label={`${t('treatment.soil')}, ${t(`forms.unit_${facts.unit}`)}`}
        error={said('soil')}
        value={form.soil}
        onText={(soil) => change({ soil })}
      />
      <Segmented
        label={t('treatment.moisture')}
        value={form.moisture || undefined}
        choices={(['dry', 'damp', 'wet'] as const).map((value) => ({ value, label: choiceWords(value) }))}
        onChoose={(moisture) => change({ moisture })}
      />
      {advice && (
        <Notice tone={advice.verdict === 'go' ? 'good' : 'glow'} live>
          <strong>{t(`treatment.advice_${advice.verdict as 'go'}`)}</strong>{' '}
          {advice.reasons.map(inOurWords).join(' ')}
          <p class="small">{t('treatment.advice_source')}</p>
        </Notice>
      )}
      {isDrench(form.kind) && <p class="soft small">{t('treatment.active_until')}</p>}
    </>
  );
}

/** Whether all chosen places are covered, and how long ago one of them was last drenched. */
function lastDrench(form: TreatmentDraft, data: DiaryData, facts: PlotFacts) {
  const chosen = data.places.filter((place) => form.place_ids.includes(place.id));
  const under_cover =
    chosen.length > 0 && chosen.every((place) => place.kind === 'tunnel' || place.kind === 'frame');
  const ago = data.views
    .filter((view) => view.type === 'treatment' && isDrench(view.body.kind as TreatmentKind))
    .filter((view) =>
      ((view.body.place_ids as string[] | undefined) ?? []).some((id) => form.place_ids.includes(id)),
    )
    .map((view) => daysBetween(localDay(String(view.body.observed_at), facts.time_zone), form.day))
    .filter((days) => days >= 0);
  return { under_cover, ...(ago.length > 0 ? { days_since_last: Math.min(...ago) } : {}) };
}
