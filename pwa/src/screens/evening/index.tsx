import { useState } from 'preact/hooks';
import { Button, Card, Notice, NumberPad, PageHeader, Segmented, SelectField } from '../../parts';
import { list, useLive } from '../../storage';
import { decimals, inOurWords, t } from '../../text';
import { degrees } from '../diary/words';
import { known } from '../forms/known';
import { localClock, localDay, withOffset } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { kept, saveNew } from '../forms/write';
import { byLabel, isRetired } from '../plot/model';
import { Forecast } from './forecast';
import { type Air, airOf, EMPTY_EVENING, type EveningDraft, eveningSet, type Moisture } from './model';
import { eveningFacts, loadTonight, type Tonight } from './tonight';
import '../forms/style.css';
import '../warnings/style.css';
import './style.css';

async function load(facts: PlotFacts) {
  const [places, stations, tonight] = await Promise.all([
    list('place'),
    list('station'),
    loadTonight(facts, new Date()),
  ]);
  const today = localDay(new Date(), facts.time_zone);
  const screen = stations.find(
    ({ id, body }) => body.exposure === 'screen' && !isRetired({ ...known(body), id }, today),
  );
  return {
    places: places
      .filter((place) => !place.body.archived && place.body.kind !== 'store')
      .map((place) => ({ id: place.id, label: place.body.label ?? '' }))
      .sort(byLabel),
    usual: screen?.body.place_id,
    tonight,
  };
}
type EveningData = Awaited<ReturnType<typeof load>>;

export default function Evening() {
  const facts = usePlotFacts();
  const data = useLive(
    () => (facts ? load(facts) : Promise.resolve(undefined)),
    ['place', 'station', 'evening', 'temperature', 'crop', 'crop_event', 'watch', 'learned'],
    [facts?.time_zone, facts?.plot_id],
  );
  const draft = useDraft<EveningDraft>('evening', EMPTY_EVENING);
  const [savedAt, setSavedAt] = useState<string | undefined>(undefined);
  if (!facts || !data || !draft.ready) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('evening.title')} />;
  const air = airOf(draft.value, facts.unit);
  const usual = data.usual ?? data.places[0]?.id ?? '';
  const filled = { ...draft.value, place_id: draft.value.place_id || usual };
  const save = async () => {
    const now = withOffset(new Date(), facts.time_zone);
    const set = eveningSet(filled, { observed_at: now, observer: facts.observer, unit: facts.unit });
    if (!(await kept(() => saveNew('evening', set)))) return;
    // The next evening begins with empty slots.
    await draft.clear();
    setSavedAt(localClock(now, facts.time_zone));
  };
  return (
    <div class="page">
      <PageHeader title={t('evening.title')} back="/" under={t('evening.under')} />
      {!mayRecord(facts) ? (
        <p class="soft">{t('forms.reader_only')}</p>
      ) : savedAt === undefined ? (
        <Form
          draft={filled}
          air={air}
          facts={facts}
          places={data.places}
          change={draft.change}
          onSave={save}
        />
      ) : (
        <Notice
          tone="good"
          live
          action={
            <Button kind="quiet" onClick={() => setSavedAt(undefined)}>
              {t('evening.another')}
            </Button>
          }
        >
          {t('evening.saved_title', { clock: savedAt })}. {t('evening.saved_now')}
        </Notice>
      )}
      <Told air={air} draft={filled} tonight={data.tonight} facts={facts} />
    </div>
  );
}

type ToldProps = { air: Air | undefined; draft: EveningDraft; tonight: Tonight; facts: PlotFacts };

/** The night by what is being typed; before that by what was read this evening. */
function Told({ air, draft, tonight, facts }: ToldProps) {
  if (air && 'dew_c' in air) {
    const typed = {
      evening_c: air.air_c,
      dew_c: Math.min(air.dew_c, air.air_c),
      sky: draft.sky || null,
      wind: draft.wind || null,
    };
    return <Forecast evening={typed} seen={{}} tonight={tonight} facts={facts} />;
  }
  const read = tonight.evening && eveningFacts(tonight.evening.body);
  if (!read || draft.air !== '') return null;
  return <Forecast evening={read} seen={tonight.seen_c} tonight={tonight} facts={facts} />;
}

type FormProps = {
  draft: EveningDraft;
  air: Air | undefined;
  facts: PlotFacts;
  places: EveningData['places'];
  change: (next: Partial<EveningDraft>) => void;
  onSave: () => void;
};

const KINDS: readonly Moisture[] = ['wet', 'dew', 'humidity'];

function Form({ draft, air, facts, places, change, onSave }: FormProps) {
  const [slot, setSlot] = useState<'air' | 'moist'>('air');
  const moistUnit = draft.moisture === 'humidity' ? '%' : t(`forms.unit_${facts.unit}`);
  return (
    <>
      <Card>
        {places.length > 1 && (
          <SelectField
            label={t('evening.where')}
            value={draft.place_id}
            choices={places.map((place) => ({ value: place.id, label: place.label }))}
            onChoose={(place_id) => change({ place_id })}
          />
        )}
        <Segmented
          label={t('evening.how')}
          value={draft.moisture}
          choices={KINDS.map((value) => ({ value, label: t(`evening.${value}`) }))}
          onChoose={(moisture) => {
            change({ moisture, moist: '' });
            setSlot('moist');
          }}
        />
        <div class="evening-slots">
          <Slot
            label={t('evening.air')}
            text={draft.air}
            unit={t(`forms.unit_${facts.unit}`)}
            on={slot === 'air'}
            choose={() => setSlot('air')}
          />
          <Slot
            label={t(`evening.${draft.moisture}`)}
            text={draft.moist}
            unit={moistUnit}
            on={slot === 'moist'}
            choose={() => setSlot('moist')}
          />
        </div>
        <NumberPad
          label={slot === 'air' ? t('evening.air') : t(`evening.${draft.moisture}`)}
          value={slot === 'air' ? draft.air : draft.moist}
          unit={slot === 'air' ? t(`forms.unit_${facts.unit}`) : moistUnit}
          signed={slot === 'air' || draft.moisture !== 'humidity'}
          decimal
          onType={(text) => change(slot === 'air' ? { air: text } : { moist: text })}
        />
        <AirWords air={air} facts={facts} />
      </Card>
      <Card>
        <Segmented
          label={t('evening.sky')}
          value={draft.sky || undefined}
          choices={(['clear', 'broken', 'overcast'] as const).map((value) => ({
            value,
            label: t(`evening.sky_${value}`),
          }))}
          onChoose={(sky) => change({ sky })}
        />
        <Segmented
          label={t('evening.wind')}
          value={draft.wind || undefined}
          choices={(['calm', 'light', 'windy'] as const).map((value) => ({
            value,
            label: t(`evening.wind_${value}`),
          }))}
          onChoose={(wind) => change({ wind })}
        />
        <Button kind="main" wide disabled={!air || 'fault' in air} onClick={onSave}>
          {t('evening.save')}
        </Button>
      </Card>
    </>
  );
}

function Slot(props: { label: string; text: string; unit: string; on: boolean; choose: () => void }) {
  return (
    <button type="button" class="evening-slot" aria-pressed={props.on} onClick={props.choose}>
      <span class="small">{props.label}</span>
      <span class="evening-value figures">
        {props.text.replace('-', '\u2212') || '–'} <small>{props.unit}</small>
      </span>
    </button>
  );
}

function AirWords({ air, facts }: { air: Air | undefined; facts: PlotFacts }) {
  if (!air) return <p class="soft small">{t('evening.fill_both')}</p>;
  if ('fault' in air) {
    return (
      <p class="field-error" role="alert">
        {air.fault}
      </p>
    );
  }
  const dew = degrees({ value: air.dew_c, unit: 'degC' }, facts.unit);
  return (
    <div class="stack-tight" aria-live="polite">
      <p>
        <strong>{t('evening.dew_is', { dew, rh: decimals(air.rh_percent, 0) })}</strong>
      </p>
      {air.cautions.map((words) => (
        <p key={words} class="soft small">
          {inOurWords(words)}
        </p>
      ))}
    </div>
  );
}
