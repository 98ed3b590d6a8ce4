import { useId, useState } from 'preact/hooks';
import { cropDamage, cropNames } from '../../domain/crop_damage';
import { Button, Field, Sheet, TextField } from '../../parts';
import { newId } from '../../storage';
import { t } from '../../text';
import { localClock, localDay, momentAt } from '../forms/local_time';
import { PickOne } from '../forms/pick_one';
import type { PlotFacts } from '../forms/plot_facts';
import { saveTogether } from '../forms/undo';
import { useDraft } from '../forms/use_draft';
import { kept } from '../forms/write';
import { byLabel } from '../plot/model';
import {
  BEGINNINGS,
  type CropDraft,
  type CropFault,
  cropFaults,
  cropItems,
  emptyCrop,
  lastOfKind,
} from './crops';
import type { DiaryData } from './load';
import { PickBeds } from './pick_beds';
import { choiceWords, degrees } from './words';

type Props = { facts: PlotFacts; data: DiaryData; onClose: () => void };

export function CropSheet({ facts, data, onClose }: Props) {
  const now = new Date();
  const today = localDay(now, facts.time_zone);
  const draft = useDraft<CropDraft>('crop', emptyCrop(today));
  const [tried, setTried] = useState(false);
  const form = draft.value;
  const faults = cropFaults(form, today);
  const said = (fault: CropFault) =>
    tried && faults.includes(fault) ? t(`crops.fault_${fault}`) : undefined;
  const last = lastOfKind(data.crops, form.kind);
  const lastWords = [last?.variety, last?.seed_batch].filter(Boolean).join(', ');
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const observed_at = momentAt(form.day, clockOf(form.day, facts), facts.time_zone);
    const items = cropItems(form, { observed_at, observer: facts.observer }, newId);
    const n = items.length / 2;
    const what = n > 1 ? `${form.kind} (${n})` : form.kind;
    if (!(await kept(() => saveTogether(items, t('past.did_save', { what }))))) return;
    await draft.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('crops.start_title')} onClose={onClose}>
      <KindField kind={form.kind} error={said('kind')} onText={(kind) => draft.change({ kind })} />
      <FrostWords kind={form.kind} facts={facts} />
      {last && !form.variety && !form.seed_batch && (
        <div class="row-apart">
          <p class="soft small">{t('crops.as_last', { words: lastWords })}</p>
          <Button kind="quiet" onClick={() => draft.change(last)}>
            {t('crops.as_last_go')}
          </Button>
        </div>
      )}
      <TextField
        label={t('crops.variety')}
        maxLength={80}
        value={form.variety}
        onText={(variety) => draft.change({ variety })}
      />
      <TextField
        label={t('crops.seed_batch')}
        hint={t('crops.seed_batch_hint')}
        maxLength={80}
        value={form.seed_batch}
        onText={(seed_batch) => draft.change({ seed_batch })}
      />
      <PickOne
        label={t('crops.begin')}
        chosen={form.begin}
        choices={BEGINNINGS.map((value) => ({ value, label: choiceWords(value) }))}
        onChoose={(begin) => draft.change({ begin })}
      />
      <TextField
        label={t('crops.started_on')}
        type="date"
        error={said('day')}
        value={form.day}
        onText={(day) => day && draft.change({ day })}
      />
      <PickBeds
        label={t('crops.where')}
        hint={t('crops.where_hint')}
        places={data.places.filter((place) => !place.archived && place.kind !== 'path').sort(byLabel)}
        chosen={form.place_ids}
        onChange={(place_ids) => draft.change({ place_ids })}
      />
      <TextField
        label={t('forms.note')}
        maxLength={4000}
        value={form.note}
        onText={(note) => draft.change({ note })}
      />
      {tried && faults[0] && <p class="field-error">{t(`crops.fault_${faults[0]}`)}</p>}
      <Button kind="main" wide onClick={() => void save()}>
        {form.place_ids.length > 1
          ? t('crops.save_starts', { n: form.place_ids.length })
          : t('crops.save_start')}
      </Button>
    </Sheet>
  );
}

/** The clock to write down for a day: now on this day, noon on an earlier one. */
export function clockOf(day: string, facts: PlotFacts): string {
  const now = new Date();
  return day === localDay(now, facts.time_zone) ? localClock(now, facts.time_zone) : '12:00';
}

function KindField(props: { kind: string; error: string | undefined; onText: (text: string) => void }) {
  const names = useId();
  return (
    <>
      <Field label={t('crops.kind')} hint={t('crops.kind_hint')} error={props.error}>
        {(ids) => (
          <input
            {...ids}
            class="input"
            list={names}
            maxLength={80}
            autocomplete="off"
            autocapitalize="sentences"
            value={props.kind}
            onInput={(event) => props.onText(event.currentTarget.value)}
          />
        )}
      </Field>
      <datalist id={names}>
        {cropNames().map((name) => (
          <option key={name} value={name.charAt(0).toUpperCase() + name.slice(1)} />
        ))}
      </datalist>
    </>
  );
}

/** Whether the frost warnings will know it: better asked for now than missed in a cold night. */
function FrostWords({ kind, facts }: { kind: string; facts: PlotFacts }) {
  if (kind.trim().length < 3) return null;
  const { crop, critical_c } = cropDamage(kind);
  const words =
    crop === null || critical_c === null
      ? t('crops.not_known')
      : t('crops.known_frost', { crop, degrees: degrees({ value: critical_c, unit: 'degC' }, facts.unit) });
  return (
    <p class="soft small" role="status">
      {words}
    </p>
  );
}
