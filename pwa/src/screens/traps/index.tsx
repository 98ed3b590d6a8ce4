import { useState } from 'preact/hooks';
import { Button, ButtonLink, Card, Caution, EmptyState, PageHeader } from '../../parts';
import { list, newId, saveMany, useLive } from '../../storage';
import { t } from '../../text';
import { known } from '../forms/known';
import { dayPlus, dayWords, localDay, withOffset } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { PickPlaces } from '../forms/pick_places';
import { type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { asItem, kept } from '../forms/write';
import { inWalkingOrder, isRetired } from '../plot/model';
import { Beds } from './beds';
import { LiftSheet } from './lift_sheet';
import { type Catch, DAYS, type InGround, type Trap, trapsNow } from './model';
import '../forms/style.css';
import './style.css';

async function load(timeZone: string) {
  const today = localDay(new Date(), timeZone);
  const [stations, places, catches] = await Promise.all([list('station'), list('place'), list('trap_catch')]);
  const all = inWalkingOrder(
    stations
      .map((station) => ({ ...known(station.body), id: station.id }))
      .filter((station) => station.kind === 'bait_trap'),
  );
  return {
    all: all as Trap[],
    traps: all.filter((station) => !isRetired(station, today)) as Trap[],
    placeLabel: new Map(places.map((place) => [place.id, place.body.label ?? ''])),
    catches: catches.map(
      (view) => ({ ...known(view.body), id: view.id, disputed: view.conflicts.length > 0 }) as Catch,
    ),
  };
}
export type TrapData = Awaited<ReturnType<typeof load>>;

export default function Traps() {
  const facts = usePlotFacts();
  const zone = facts?.time_zone;
  const data = useLive(
    () => (zone ? load(zone) : Promise.resolve(undefined)),
    ['station', 'place', 'trap_catch'],
    [zone],
  );
  const [lifting, setLifting] = useState<InGround | undefined>(undefined);
  if (!facts || !data) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('traps.title')} />;
  const { in_ground, idle } = trapsNow(data.traps, data.catches, new Date(), facts.time_zone);
  const due = in_ground.filter((trap) => trap.timing !== 'early');
  const waiting = in_ground.filter((trap) => trap.timing === 'early');
  return (
    <div class="page">
      <PageHeader title={t('traps.title')} back="/" under={t('traps.under')} />
      {data.traps.length === 0 ? (
        <EmptyState
          title={t('traps.none_title')}
          action={
            <ButtonLink kind="main" to="/plot">
              {t('traps.to_plot')}
            </ButtonLink>
          }
        >
          {t('traps.none_text')}
        </EmptyState>
      ) : (
        <>
          <Card title={t('traps.due')} icon="trap" tone={due.length > 0 ? 'glow' : 'plain'}>
            {due.length === 0 && <p class="soft">{t('traps.due_none')}</p>}
            <TrapList traps={due} data={data} facts={facts} onLift={setLifting} />
          </Card>
          {waiting.length > 0 && (
            <Card title={t('traps.in_ground')}>
              <TrapList traps={waiting} data={data} facts={facts} onLift={setLifting} />
            </Card>
          )}
          {idle.length > 0 && <SetTraps idle={idle} data={data} facts={facts} />}
          <Beds data={data} facts={facts} />
        </>
      )}
      <Caution>{t('traps.caution')}</Caution>
      {lifting && <LiftSheet trap={lifting} facts={facts} onClose={() => setLifting(undefined)} />}
    </div>
  );
}

type ListProps = {
  traps: readonly InGround[];
  data: TrapData;
  facts: PlotFacts;
  onLift: (trap: InGround) => void;
};

function TrapList({ traps, data, facts, onLift }: ListProps) {
  return (
    <ul class="trap-list">
      {traps.map((trap) => (
        <li key={trap.trap.id} class="trap-row">
          <div class="grow">
            <strong>{trap.trap.label}</strong>{' '}
            <span class="soft">{data.placeLabel.get(trap.trap.place_id ?? '')}</span>
            <p class={`small ${trap.timing === 'late' ? 'trap-late' : 'soft'}`}>
              {trap.days === 0 ? t('traps.days_today') : t('traps.days', { n: trap.days })},{' '}
              {timingWords(trap, facts)}
            </p>
          </div>
          <Button kind={trap.timing === 'early' ? 'quiet' : 'main'} onClick={() => onLift(trap)}>
            {trap.timing === 'early' ? t('traps.lift_early') : t('traps.lift')}
          </Button>
        </li>
      ))}
    </ul>
  );
}

function timingWords(trap: InGround, facts: PlotFacts): string {
  const setOn = localDay(trap.set_at, facts.time_zone);
  const day = dayWords(
    dayPlus(setOn, trap.timing === 'early' ? DAYS.from : DAYS.to),
    localDay(new Date(), facts.time_zone),
  );
  return t(`traps.timing_${trap.timing}`, { day });
}

/** Traps that lie in no soil now: pick those that were set this morning, one tap each. */
function SetTraps({ idle, data, facts }: { idle: readonly Trap[]; data: TrapData; facts: PlotFacts }) {
  const draft = useDraft<{ ids: string[] }>('set_traps', { ids: [] });
  const [busy, setBusy] = useState(false);
  const chosen = draft.value.ids.filter((id) => idle.some((trap) => trap.id === id));
  const save = async () => {
    setBusy(true);
    const setAt = withOffset(new Date(), facts.time_zone);
    const done = await kept(() =>
      saveMany(
        chosen.map((id) =>
          asItem('trap_catch', newId(), { station_id: id, set_at: setAt, observer: facts.observer }),
        ),
      ),
    );
    if (done) await draft.clear();
    setBusy(false);
  };
  return (
    <Card title={t('traps.idle')}>
      <PickPlaces
        label={t('traps.set_pick')}
        hint={t('traps.set_hint')}
        places={idle.map((trap) => ({
          id: trap.id,
          label: [trap.label, data.placeLabel.get(trap.place_id ?? '')].filter(Boolean).join(' · '),
        }))}
        chosen={chosen}
        onChange={(ids) => draft.change({ ids })}
      />
      <div class="pair-grid">
        <Button kind="quiet" onClick={() => draft.change({ ids: idle.map((trap) => trap.id) })}>
          {t('traps.set_all')}
        </Button>
        <Button kind="main" disabled={busy || chosen.length === 0} onClick={save}>
          {t('traps.set_these', { n: chosen.length })}
        </Button>
      </div>
    </Card>
  );
}
