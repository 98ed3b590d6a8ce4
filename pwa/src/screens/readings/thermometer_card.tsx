import { useState } from 'preact/hooks';
import { Button, Card, LongTextField, Notice, NumberPad, Toggle } from '../../parts';
import { decimals, t } from '../../text';
import { dayWords, localClock, localDay, withOffset } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { kept, saveNew } from '../forms/write';
import { creditWords } from './credit';
import {
  type CardDraft,
  canSave,
  inUnit,
  type PastReading,
  type Question,
  questionsOf,
  SLOTS,
  type Slot,
  type TemperatureUnit,
  temperatureSet,
} from './model';

type Props = {
  station: { id: string; label?: string; exposure?: string };
  placeLabel: string;
  facts: PlotFacts;
  past: readonly PastReading[];
  /** False: what was read is shown, nothing can be typed. */
  writes: boolean;
  open: boolean;
  draft: CardDraft;
  onOpen: (open: boolean) => void;
  onDraft: (draft: CardDraft) => void;
  onSaved: () => void;
};

const SLOT_WORD = { current: 'readings.now', max: 'readings.max', min: 'readings.min' } as const;
const VALUE_WORD = {
  current: 'readings.value_current',
  max: 'readings.value_max',
  min: 'readings.value_min',
} as const;

export function ThermometerCard(props: Props) {
  const { station, facts, past, writes, open, draft, onOpen } = props;
  const begun = SLOTS.some((slot) => draft[slot] !== '');
  return (
    <Card
      title={station.label ?? ''}
      icon="thermometer"
      tone={open ? 'glow' : 'plain'}
      aside={
        writes && (
          <Button
            kind={open ? 'quiet' : begun ? 'main' : 'plain'}
            aria-expanded={open}
            onClick={() => onOpen(!open)}
          >
            {open ? t('parts.close') : t('readings.read_this')}
          </Button>
        )
      }
    >
      <p class="soft small">
        {[props.placeLabel, lastWords(past[0], facts.unit, facts.time_zone)].filter(Boolean).join(' · ')}
      </p>
      {open ? <OpenCard {...props} /> : <CreditOfLast {...props} />}
    </Card>
  );
}

function lastWords(last: PastReading | undefined, unit: TemperatureUnit, timeZone: string): string {
  if (!last) return t('readings.last_none');
  const sign = t(`forms.unit_${unit}`);
  const values = SLOTS.flatMap((slot) => {
    const value = last[slot];
    return value ? [t(VALUE_WORD[slot], { value: `${decimals(inUnit(value, unit))} ${sign}` })] : [];
  });
  const today = localDay(new Date(), timeZone);
  const when = `${dayWords(localDay(last.observed_at, timeZone), today)} ${localClock(last.observed_at, timeZone)}`;
  return t('readings.last', { values: values.join(', '), when });
}

/** Under a closed card: which days today's reading went to, so that a morning maximum surprises nobody. */
function CreditOfLast({ past, facts, station }: Props) {
  const last = past[0];
  if (!last || localDay(last.observed_at, facts.time_zone) !== localDay(new Date(), facts.time_zone))
    return null;
  const words = creditWords({
    station_id: station.id,
    read_at: last.observed_at,
    time_zone: facts.time_zone,
    habit: facts.habit,
    has_max: last.max !== undefined,
    has_min: last.min !== undefined,
    past,
  });
  return words.length > 0 ? <p class="small">{words.join(' ')}</p> : null;
}

function OpenCard({ station, facts, past, draft, onDraft, onSaved }: Props) {
  const [slot, setSlot] = useState<Slot>('current');
  const [busy, setBusy] = useState(false);
  const [noted, setNoted] = useState(draft.note !== '');
  const questions = questionsOf(draft, facts.unit, station.exposure, past[0]);
  const save = async () => {
    setBusy(true);
    const at = withOffset(new Date(), facts.time_zone);
    const set = temperatureSet(draft, facts.unit, station.id, at, facts.observer);
    if (await kept(() => saveNew('temperature', set))) onSaved();
    else setBusy(false);
  };
  return (
    <>
      <Slots slot={slot} draft={draft} questions={questions} onChoose={setSlot} />
      <NumberPad
        label={t('readings.pad', { slot: t(SLOT_WORD[slot]), label: station.label ?? '' })}
        value={draft[slot]}
        unit={t(`forms.unit_${facts.unit}`)}
        signed
        decimal
        onType={(text) => onDraft({ ...draft, [slot]: text })}
      />
      <Questions questions={questions} />
      <Toggle
        label={t('readings.reset_done')}
        hint={t('readings.reset_hint')}
        on={draft.reset_done}
        onChange={(on) => onDraft({ ...draft, reset_done: on })}
      />
      {noted ? (
        <LongTextField
          label={t('forms.note')}
          value={draft.note}
          onText={(note) => onDraft({ ...draft, note })}
        />
      ) : (
        <Button kind="quiet" icon="edit" onClick={() => setNoted(true)}>
          {t('readings.keep_note')}
        </Button>
      )}
      <Credits draft={draft} station={station} facts={facts} past={past} />
      <Button kind="main" wide disabled={busy || !canSave(draft)} onClick={save}>
        {t('readings.save')}
      </Button>
    </>
  );
}

function Slots(props: {
  slot: Slot;
  draft: CardDraft;
  questions: Question[];
  onChoose: (slot: Slot) => void;
}) {
  return (
    <div class="slots">
      {SLOTS.map((slot) => (
        <button
          key={slot}
          type="button"
          class={`slot ${props.questions.some((question) => question.slot === slot) ? 'slot-asked' : ''}`}
          aria-pressed={slot === props.slot}
          onClick={() => props.onChoose(slot)}
        >
          <span class="small">{t(SLOT_WORD[slot])}</span>
          <span class="slot-value figures">{props.draft[slot].replace('-', '\u2212') || '–'}</span>
        </button>
      ))}
    </div>
  );
}

function Questions({ questions }: { questions: readonly Question[] }) {
  if (questions.length === 0) return null;
  return (
    <Notice tone="glow" live>
      {questions.map((question) => (
        <p key={question.key}>{t(`readings.q_${question.key}`)}</p>
      ))}
      <p class="small">{t('readings.ask')}</p>
    </Notice>
  );
}

function Credits({ draft, station, facts, past }: Pick<Props, 'draft' | 'station' | 'facts' | 'past'>) {
  const words = creditWords({
    station_id: station.id,
    read_at: withOffset(new Date(), facts.time_zone),
    time_zone: facts.time_zone,
    habit: facts.habit,
    has_max: draft.max !== '',
    has_min: draft.min !== '',
    past,
  });
  return words.length > 0 ? <p class="small">{words.join(' ')}</p> : null;
}
