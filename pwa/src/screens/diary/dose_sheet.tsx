import { useState } from 'preact/hooks';
import { Button, Caution, Notice, Sheet, TextField } from '../../parts';
import { saveDraft } from '../../storage';
import { decimals, t } from '../../text';
import { localClock, localDay, withOffset } from '../forms/local_time';
import { PickOne } from '../forms/pick_one';
import type { PlotFacts } from '../forms/plot_facts';
import { numberOf } from '../forms/typed_number';
import { useDraft } from '../forms/use_draft';
import { kept, saveChange } from '../forms/write';
import { areaOf, byLabel } from '../plot/model';
import {
  type CountDraft,
  type CountFault,
  countFaults,
  countSet,
  DOSES,
  type Dose,
  emptyCount,
  strengthOf,
  type Volume,
  volumeFor,
} from './cultures';
import { StrengthWords } from './cultures_view';
import type { DiaryData } from './load';
import type { DiaryView } from './model';
import { PickBeds } from './pick_beds';
import { areaOfPlaces, cautionsFor, emptyTreatment } from './treatment';

type SheetProps = { facts: PlotFacts; view: DiaryView; onClose: () => void };

const nameOf = (view: DiaryView): string => String(view.body.label ?? t('diary.type_culture'));

/** Drops counted under a lens; the strength stands below while they are typed. */
export function CountSheet({ facts, view, onClose }: SheetProps) {
  const draft = useDraft<CountDraft>(`culture_count:${view.id}`, emptyCount(view.body), view);
  const [tried, setTried] = useState(false);
  const form = draft.value;
  const faults = countFaults(form);
  const said = (fault: CountFault) =>
    tried && faults.includes(fault) ? t(`cultures.fault_${fault}`) : undefined;
  const strength = faults.length === 0 ? strengthOf(countSet(form)) : undefined;
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const at = { observed_at: withOffset(new Date(), facts.time_zone), observer: facts.observer };
    if (!(await kept(() => saveChange('culture', view.id, { ...countSet(form), ...at }, draft.shown))))
      return;
    await draft.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('cultures.count_title', { what: nameOf(view) })} onClose={onClose}>
      <TextField
        label={t('cultures.drops')}
        hint={t('cultures.drops_hint')}
        error={said('drops')}
        value={form.drops}
        onText={(drops) => draft.change({ drops })}
      />
      <div class="pair-grid">
        <TextField
          label={t('cultures.drop_ml')}
          inputMode="decimal"
          error={said('drop_ml')}
          value={form.drop_ml}
          onText={(drop_ml) => draft.change({ drop_ml })}
        />
        <TextField
          label={t('cultures.dilution')}
          hint={t('cultures.dilution_hint')}
          inputMode="decimal"
          error={said('dilution')}
          value={form.dilution}
          onText={(dilution) => draft.change({ dilution })}
        />
      </div>
      {strength && <StrengthWords strength={strength} />}
      <Caution>{t('treatment.caution_gloves')}</Caution>
      <Button kind="main" wide onClick={() => void save()}>
        {t('cultures.save_count')}
      </Button>
    </Sheet>
  );
}

interface DoseDraft {
  place_ids: string[];
  area: string;
  per_m2: Dose;
}

/** How much of a culture the ticked places need; the soil is asked for when it is written down. */
export function DoseSheet(props: SheetProps & { data: DiaryData; onApply: () => void }) {
  const { facts, data, view, onApply, onClose } = props;
  const draft = useDraft<DoseDraft>(`dose:${view.id}`, { place_ids: [], area: '', per_m2: '300000' });
  const form = draft.value;
  const places = data.places
    .filter((place) => !place.archived && place.kind !== 'path' && place.kind !== 'store')
    .sort(byLabel);
  const known = areaOfPlaces(form.place_ids, new Map(places.map((place) => [place.id, areaOf(place)])));
  const area = form.area.trim() === '' ? known : numberOf(form.area);
  const strength = strengthOf(view.body);
  const volume = strength && area ? volumeFor(strength, area, Number(form.per_m2)) : undefined;
  const home = view.body.source !== 'bought_labelled';
  const apply = async () => {
    const now = new Date();
    const next = {
      ...emptyTreatment(localDay(now, facts.time_zone), localClock(now, facts.time_zone)),
      kind: home ? 'brew' : 'nematodes',
      culture_id: view.id,
      place_ids: form.place_ids,
      area: area === undefined ? '' : String(Math.round(area * 100) / 100),
      amount: volume ? String(Number(volume.litres.toPrecision(3))) : '',
      amount_unit: 'l',
    };
    if (!(await kept(() => saveDraft(`treatment:${view.id}`, next)))) return;
    await draft.clear();
    onApply();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('cultures.dose_title', { what: nameOf(view) })} onClose={onClose}>
      <PickBeds
        label={t('treatment.places')}
        places={places}
        chosen={form.place_ids}
        onChange={(place_ids) => draft.change({ place_ids })}
      />
      <TextField
        label={t('cultures.area')}
        hint={areaHint(form.place_ids, known)}
        inputMode="decimal"
        value={form.area}
        onText={(text) => draft.change({ area: text })}
      />
      <PickOne<Dose>
        label={t('cultures.per_m2')}
        chosen={form.per_m2}
        choices={DOSES.map((value) => ({ value, label: t(`cultures.dose_${value}`) }))}
        onChoose={(per_m2) => draft.change({ per_m2 })}
      />
      <p class="soft small">{t('cultures.dose_source')}</p>
      {strength?.per_ml === 0 && <Notice tone="bad">{t('cultures.nobody')}</Notice>}
      {volume && area && <VolumeWords volume={volume} area={area} />}
      <div class="stack-tight treatment-cautions">
        {cautionsFor(home ? 'brew' : 'nematodes').map((caution) => (
          <Caution key={caution}>{t(`treatment.caution_${caution}`)}</Caution>
        ))}
      </div>
      <Button kind="main" wide disabled={!volume || form.place_ids.length === 0} onClick={() => void apply()}>
        {t('cultures.apply')}
      </Button>
    </Sheet>
  );
}

function areaHint(ids: readonly string[], known: number | undefined): string {
  if (ids.length === 0) return '';
  return known === undefined
    ? t('cultures.area_missing')
    : t('cultures.area_from', { area: decimals(known) });
}

/** Three figures are more than a count of drops can carry. */
const litreWords = (litres: number): string => decimals(litres, litres < 1 ? 2 : litres < 100 ? 1 : 0);

function VolumeWords({ volume, area }: { volume: Volume; area: number }) {
  const fill = {
    low: litreWords(volume.low_l),
    million: decimals(volume.nematodes / 1e6),
    area: decimals(area),
  };
  return (
    <Notice tone="glow" live>
      <p class="diary-figure figures">{t('cultures.answer', { litres: litreWords(volume.litres) })}</p>
      <p>
        {volume.high_l === undefined
          ? t('cultures.answer_open', fill)
          : t('cultures.answer_range', { ...fill, high: litreWords(volume.high_l) })}
      </p>
    </Notice>
  );
}
