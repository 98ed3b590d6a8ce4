import { useState } from 'preact/hooks';
import { Button, LongTextField, SelectField, Sheet, TextField } from '../../parts';
import { t } from '../../text';
import { localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { shownOf, useDraft } from '../forms/use_draft';
import { kept, saveChange, saveNew } from '../forms/write';
import type { PlotData, StationRow } from './index';
import {
  byLabel,
  EXPOSURES,
  type FormFault,
  isRetired,
  nextWalkOrder,
  STATION_KINDS,
  type StationForm,
  type StationKind,
  stationFaults,
  stationForm,
  stationSet,
} from './model';

type Props = {
  station: StationRow | undefined;
  place_id: string;
  data: PlotData;
  facts: PlotFacts;
  onClose: () => void;
};

export function StationSheet({ station, place_id, data, facts, onClose }: Props) {
  const draft = useDraft<StationForm>(
    `station:${station?.id ?? `new:${place_id}`}`,
    stationForm(station, place_id),
    shownOf(station),
  );
  const [tried, setTried] = useState(false);
  const [busy, setBusy] = useState(false);
  const form = draft.value;
  const today = localDay(new Date(), facts.time_zone);
  const others = data.stations.filter((other) => other.id !== station?.id);
  const faults = stationFaults(form, others, today);
  const said = (fault: FormFault) => (tried && faults.includes(fault) ? t(`plot.fault_${fault}`) : undefined);
  const store = async (set: Record<string, unknown>) => {
    setBusy(true);
    const done = await kept(() =>
      station ? saveChange('station', station.id, set, draft.shown) : saveNew('station', set),
    );
    setBusy(false);
    if (!done) return;
    await draft.clear();
    onClose();
  };
  const save = () => {
    if (faults.length > 0) return setTried(true);
    return void store(
      stationSet(form, station && ((draft.shown?.body ?? station) as StationRow), {
        walk_order: nextWalkOrder(data.stations),
        today,
      }),
    );
  };
  const kind = t(`forms.station_${form.kind}`);
  return (
    <Sheet
      title={station ? t('plot.edit_station', { kind, label: station.label ?? '' }) : t('plot.new_station')}
      onClose={onClose}
    >
      {!station && (
        <SelectField
          label={t('plot.kind')}
          value={form.kind}
          choices={STATION_KINDS.map((value: StationKind) => ({ value, label: t(`forms.station_${value}`) }))}
          onChoose={(value) => draft.change({ kind: value })}
        />
      )}
      <TextField
        label={t('plot.label')}
        error={said('label') ?? said('label_taken')}
        maxLength={80}
        value={form.label}
        onText={(label) => draft.change({ label })}
      />
      <SelectField
        label={t('plot.place')}
        value={form.place_id}
        choices={[
          { value: '', label: t('forms.no_place') },
          ...[...data.places]
            .filter((place) => !place.archived || place.id === form.place_id)
            .sort(byLabel)
            .map((place) => ({ value: place.id, label: place.label ?? '' })),
        ]}
        onChoose={(id) => draft.change({ place_id: id })}
      />
      {said('place') && (
        <p class="field-error" role="alert">
          {said('place')}
        </p>
      )}
      <KindFields form={form} said={said} change={draft.change} />
      <LongTextField label={t('forms.note')} value={form.note} onText={(note) => draft.change({ note })} />
      <Button kind="main" wide disabled={busy} onClick={save}>
        {t('plot.save')}
      </Button>
      {station && <Retire station={station} today={today} busy={busy} store={store} />}
    </Sheet>
  );
}

type FieldsProps = {
  form: StationForm;
  said: (fault: FormFault) => string | undefined;
  change: (next: Partial<StationForm>) => void;
};

function KindFields({ form, said, change }: FieldsProps) {
  if (form.kind === 'slug_board') {
    return (
      <TextField
        label={t('plot.board_size')}
        hint={t('plot.board_size_hint')}
        inputMode="decimal"
        error={said('size')}
        value={form.size}
        onText={(size) => change({ size })}
      />
    );
  }
  if (form.kind === 'bait_trap') {
    return (
      <TextField
        label={t('plot.bait')}
        hint={t('plot.bait_hint')}
        maxLength={200}
        value={form.bait}
        onText={(bait) => change({ bait })}
      />
    );
  }
  if (form.kind !== 'thermometer') return null;
  return (
    <>
      <SelectField
        label={t('plot.exposure')}
        value={form.exposure}
        choices={EXPOSURES.map((value) => ({ value: value as string, label: t(`forms.exposure_${value}`) }))}
        onChoose={(exposure) => change({ exposure })}
      />
      {form.exposure === 'soil' && (
        <TextField
          label={t('plot.depth')}
          inputMode="decimal"
          error={said('depth')}
          value={form.depth_cm}
          onText={(depth_cm) => change({ depth_cm })}
        />
      )}
    </>
  );
}

type RetireProps = {
  station: StationRow;
  today: string;
  busy: boolean;
  store: (set: Record<string, unknown>) => Promise<void>;
};

/** Taken away keeps every count ever made there; it only stops asking for more. */
function Retire({ station, today, busy, store }: RetireProps) {
  const gone = isRetired(station, today);
  return (
    <Button
      kind={gone ? 'plain' : 'bad'}
      disabled={busy}
      onClick={() => void store({ retired_on: gone ? null : today })}
    >
      {gone ? t('plot.bring_back') : t('plot.retire')}
    </Button>
  );
}
