import { useState } from 'preact/hooks';
import { Button, IconButton, LongTextField, Notice, Sheet, TextField, Toggle } from '../../parts';
import { t } from '../../text';
import { dayWords, localDay, withOffset } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { shownOf, useDraft } from '../forms/use_draft';
import { kept, saveChange, saveNew } from '../forms/write';
import { Guide } from './guide';
import {
  type Catch,
  CREATURES,
  EMPTY_LIFT,
  type InGround,
  type LiftDraft,
  type LookAlike,
  liftReady,
  liftSet,
  noneFound,
  tally,
  validityOf,
} from './model';
import { Sketch } from './sketches';
import { validityWords } from './words';

type Props = {
  trap: InGround;
  /** The record that waits for its catch; somebody else may have lifted the trap by the time this is saved. */
  record: Catch | undefined;
  /** What was measured at the trap lifted before in the same bed today, as typed; empty when none was. */
  soil: string;
  facts: PlotFacts;
  onClose: () => void;
};

export function LiftSheet({ trap, record, soil, facts, onClose }: Props) {
  const draft = useDraft<LiftDraft>(`lift:${trap.trap.id}`, { ...EMPTY_LIFT, soil }, shownOf(record));
  const [busy, setBusy] = useState(false);
  const [guide, setGuide] = useState(false);
  const lift = draft.value;
  const at = {
    station_id: trap.trap.id,
    set_at: trap.set_at,
    observed_at: withOffset(new Date(), facts.time_zone),
    observer: facts.observer,
    unit: facts.unit,
  };
  const save = async () => {
    setBusy(true);
    // A trap that stays in the ground keeps its open record; that nobody lifted it today is a record of its own.
    const own = lift.state === 'not_turned' ? undefined : trap.catch_id;
    const set = liftSet(lift, at);
    if (
      await kept(() => (own ? saveChange('trap_catch', own, set, draft.shown) : saveNew('trap_catch', set)))
    ) {
      await draft.clear();
      onClose();
    } else setBusy(false);
  };
  const today = localDay(new Date(), facts.time_zone);
  return (
    <Sheet title={t('traps.lift_title', { label: trap.trap.label })} onClose={onClose}>
      <p class="soft small">
        {t('traps.lift_since', {
          day: dayWords(localDay(trap.set_at, facts.time_zone), today),
          n: trap.days,
        })}
      </p>
      <Tally creature="wireworms" draft={lift} onChange={draft.change} />
      <States lift={lift} onChange={draft.change} />
      <div class="row-apart">
        <h3>{t('traps.look_alikes')}</h3>
        <Button onClick={() => setGuide(true)}>{t('traps.guide_title')}</Button>
      </div>
      {CREATURES.filter((creature) => creature !== 'wireworms').map((creature) => (
        <Tally key={creature} creature={creature} draft={lift} onChange={draft.change} />
      ))}
      <TextField
        label={`${t('traps.soil')}, ${t(`forms.unit_${facts.unit}`)}`}
        hint={t(soil !== '' && lift.soil === soil ? 'traps.soil_as_last' : 'traps.soil_hint')}
        inputMode="decimal"
        value={lift.soil}
        onText={(typed) => draft.change({ soil: typed })}
      />
      <Toggle
        label={t('traps.rebaited')}
        on={lift.rebaited}
        onChange={(rebaited) => draft.change({ rebaited })}
      />
      <LongTextField label={t('forms.note')} value={lift.note} onText={(note) => draft.change({ note })} />
      {lift.state !== 'not_turned' && lift.state !== '' && (
        <Validity record={{ ...liftSet(lift, at), id: '' } as Catch} facts={facts} />
      )}
      {lift.state === '' && <p class="soft small">{t('traps.choose_first')}</p>}
      <Button kind="main" wide disabled={busy || !liftReady(lift)} onClick={save}>
        {t('traps.save')}
      </Button>
      {guide && <Guide onClose={() => setGuide(false)} />}
    </Sheet>
  );
}

type TallyProps = {
  creature: LookAlike;
  draft: LiftDraft;
  onChange: (next: (now: LiftDraft) => LiftDraft) => void;
};

function Tally({ creature, draft, onChange }: TallyProps) {
  const what = t(`traps.${creature}`);
  return (
    <div class={`tally ${creature === 'wireworms' ? 'tally-main' : ''}`}>
      <Sketch of={creature} />
      <div class="grow">
        <strong>{what}</strong>
        <p class="soft small">{t(`traps.${creature}_look`)}</p>
      </div>
      <div class="tally-keys">
        <IconButton
          icon="minus"
          label={t('traps.one_less', { what })}
          disabled={draft[creature] === 0}
          onClick={() => onChange((now) => tally(now, creature, -1))}
        />
        <output class="tally-n figures" aria-label={what}>
          {draft[creature]}
        </output>
        <IconButton
          icon="plus"
          label={t('traps.one_more', { what })}
          onClick={() => onChange((now) => tally(now, creature, 1))}
        />
      </div>
    </div>
  );
}

function States({ lift, onChange }: { lift: LiftDraft; onChange: TallyProps['onChange'] }) {
  const choose = (state: LiftDraft['state']) => onChange((now) => ({ ...now, wireworms: 0, state }));
  const say = {
    none_found: 'traps.none_chosen',
    spoiled: 'traps.spoiled_chosen',
    not_turned: 'traps.not_lifted_chosen',
  } as const;
  return (
    <>
      <div class="lift-states">
        <Button aria-pressed={lift.state === 'none_found'} onClick={() => onChange(noneFound)}>
          {t('traps.none_here')}
        </Button>
        <Button aria-pressed={lift.state === 'spoiled'} onClick={() => choose('spoiled')}>
          {t('traps.spoiled')}
        </Button>
        <Button aria-pressed={lift.state === 'not_turned'} onClick={() => choose('not_turned')}>
          {t('traps.not_lifted')}
        </Button>
      </div>
      {lift.state !== '' && lift.state !== 'counted' && (
        <p class="small" role="status">
          {t(say[lift.state])}
        </p>
      )}
    </>
  );
}

function Validity({ record, facts }: { record: Catch; facts: PlotFacts }) {
  const validity = validityOf(record, facts.time_zone);
  const tone = validity.valid === true ? 'good' : 'glow';
  return (
    <Notice tone={tone} live>
      <strong>{t('traps.validity')}</strong> {validityWords(validity, record.soil, facts.unit)}
      <p class="small">{t('traps.why_source')}</p>
    </Notice>
  );
}
