import { useState } from 'preact/hooks';
import { Button, Field, IconButton, Notice, Sheet, TextField } from '../../parts';
import { newId, saveMany } from '../../storage';
import { decimals, t } from '../../text';
import { localClock, localDay } from '../forms/local_time';
import { MomentField } from '../forms/moment_field';
import { PickOne } from '../forms/pick_one';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { asItem, kept } from '../forms/write';
import { byLabel, nextWalkOrder } from '../plot/model';
import { inUnit } from '../readings/model';
import { settled, weighBeds } from './evidence';
import type { TrapData } from './load';
import { SOIL_ABOVE_C, type Trap } from './model';
import {
  MOST_AT_ONCE,
  planSet,
  type SetDraft,
  type SetFault,
  setFaults,
  setItems,
  USUAL_DEPTH_CM,
} from './set_plan';

type Props = {
  /** The bed it was opened for; empty when none was chosen yet. */
  place: string;
  n: number | undefined;
  idle: readonly Trap[];
  data: TrapData;
  facts: PlotFacts;
  onClose: () => void;
};

/** A handful is what fits a bed, when nothing else says how many. */
const USUAL_SET = 4;
/** More are not offered at once: nobody digs in two dozen before breakfast. */
const MOST_OFFERED = 10;

/** A bed, how many, where, bait, day: a whole set of traps is written down at once. */
export function SetSheet({ place, n, idle, data, facts, onClose }: Props) {
  const zone = facts.time_zone;
  const now = new Date();
  const today = localDay(now, zone);
  const last = [...data.all].reverse().find(({ bait }) => bait);
  const draft = useDraft<SetDraft>(`set_traps:${place}`, {
    place_id: place,
    n: n ?? wantedIn(place, data, zone),
    where: '',
    bait: last?.bait ?? t('traps.bait_usual'),
    depth_cm: String(last?.depth_m ? Math.round(last.depth_m * 100) : USUAL_DEPTH_CM),
    day: today,
    clock: localClock(now, zone),
  });
  const [tried, setTried] = useState(false);
  const [busy, setBusy] = useState(false);
  if (!draft.ready) return null;
  const form = draft.value;
  const faults = setFaults(form, today);
  const said = (fault: SetFault) => (tried && faults.includes(fault) ? t(`traps.fault_${fault}`) : undefined);
  const own = idle.filter((trap) => trap.place_id === form.place_id);
  const plan = planSet(form.n, own, data.all, data.beds.find(({ id }) => id === form.place_id)?.outline);
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    setBusy(true);
    const items = setItems(form, plan, {
      time_zone: zone,
      observer: facts.observer,
      walk_order: nextWalkOrder(data.all),
      label: (number) => t('traps.label', { number }),
      new_id: newId,
    });
    const done = await kept(() => saveMany(items.map(({ type, id, set }) => asItem(type, id, set))));
    setBusy(false);
    if (!done) return;
    await draft.clear();
    onClose();
  };
  const choose = (place_id: string) => draft.change({ place_id, n: wantedIn(place_id, data, zone) });
  return (
    <Sheet title={t('traps.set_title')} onClose={onClose}>
      <PickOne
        label={t('traps.set_where')}
        error={said('place')}
        choices={[...data.beds].sort(byLabel).map(({ id, label }) => ({ value: id, label }))}
        chosen={form.place_id}
        onChoose={choose}
      />
      <HowMany n={form.n} onChange={(count) => draft.change({ n: count })} />
      {form.place_id !== '' && <PlanWords again={plan.again} fresh={plan.fresh.length} />}
      {form.place_id !== '' && <BedWords place={form.place_id} data={data} facts={facts} />}
      <TextField
        label={t('traps.set_spot')}
        hint={t('traps.set_hint')}
        value={form.where}
        maxLength={200}
        onText={(where) => draft.change({ where })}
      />
      <div class="pair-grid">
        <TextField
          label={t('traps.bait')}
          value={form.bait}
          maxLength={80}
          onText={(bait) => draft.change({ bait })}
        />
        <TextField
          label={t('traps.depth')}
          inputMode="decimal"
          error={said('depth')}
          value={form.depth_cm}
          onText={(depth_cm) => draft.change({ depth_cm })}
        />
      </div>
      <MomentField day={form.day} clock={form.clock} onChange={(change) => draft.change(change)} />
      {said('day') && <p class="field-error">{said('day')}</p>}
      <Button kind="main" wide disabled={busy} onClick={save}>
        {t('traps.set_these', { n: form.n })}
      </Button>
    </Sheet>
  );
}

/** As many as would settle the bed, within what a set usually is. */
function wantedIn(place: string, data: TrapData, zone: string): number {
  if (place === '') return USUAL_SET;
  const more = settled(evidenceOf(place, data, zone)?.traps, data.limits);
  return more.state === 'more' ? Math.min(more.n, MOST_OFFERED) : USUAL_SET;
}

function evidenceOf(place: string, data: TrapData, zone: string) {
  const place_of = new Map(data.all.map((trap) => [trap.id, trap.place_id ?? '']));
  const beds = weighBeds({ ...data, place_of, labels: data.placeLabel }, data.limits, data.today, zone);
  return beds.find(({ id }) => id === place)?.evidence;
}

function HowMany({ n, onChange }: { n: number; onChange: (n: number) => void }) {
  return (
    <Field label={t('traps.set_count')}>
      {(ids) => (
        <div class="stepper">
          <IconButton
            icon="minus"
            label={t('traps.one_less', { what: t('traps.trap') })}
            disabled={n <= 1}
            onClick={() => onChange(n - 1)}
          />
          <output id={ids.id} class="tally-n figures">
            {n}
          </output>
          <IconButton
            icon="plus"
            label={t('traps.one_more', { what: t('traps.trap') })}
            disabled={n >= MOST_AT_ONCE}
            onClick={() => onChange(n + 1)}
          />
        </div>
      )}
    </Field>
  );
}

function PlanWords({ again, fresh }: { again: readonly Trap[]; fresh: number }) {
  return (
    <p class="small" role="status">
      {again.length > 0 && t('traps.plan_again', { labels: again.map(({ label }) => label).join(', ') })}{' '}
      {fresh > 0 && t('traps.plan_new', { n: fresh })}
    </p>
  );
}

/** What is known of the bed before the set goes in: how many would settle it, and whether the soil is warm. */
function BedWords({ place, data, facts }: { place: string; data: TrapData; facts: PlotFacts }) {
  const more = settled(evidenceOf(place, data, facts.time_zone)?.traps, data.limits);
  const soil = data.soil.get(place);
  const cold = soil !== undefined && soil.celsius <= SOIL_ABOVE_C;
  return (
    <>
      <p class="soft small">
        {more.state === 'enough' && t('traps.set_enough')}
        {more.state === 'more' && t(`traps.settle_more_${more.if_all}`, { n: more.n })}
      </p>
      {cold && (
        <Notice tone="glow">
          {t('traps.set_cold', {
            soil: `${decimals(inUnit({ value: soil.celsius, unit: 'degC' }, facts.unit))} ${t(`forms.unit_${facts.unit}`)}`,
          })}
        </Notice>
      )}
    </>
  );
}
