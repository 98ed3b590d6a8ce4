import { useState } from 'preact/hooks';
import { Button, Card, Caution, EmptyState, PageHeader } from '../../parts';
import { useLive } from '../../storage';
import { decimals, t } from '../../text';
import { dayPlus, dayWords, localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { inUnit } from '../readings/model';
import { Beds } from './beds';
import { BeetleCard } from './beetle_card';
import { Guide } from './guide';
import { lastSoil } from './last_soil';
import { LiftSheet } from './lift_sheet';
import { load, TRAP_TYPES, type TrapData } from './load';
import { DAYS, type InGround, SOIL_ABOVE_C, type Trap, trapsNow } from './model';
import { SetSheet } from './set_sheet';
import '../forms/style.css';
import './style.css';

type Open = { lift: InGround } | { set_in: string; n?: number } | { guide: true };

export default function Traps() {
  const facts = usePlotFacts();
  const zone = facts?.time_zone;
  const data = useLive(
    () => (zone ? load(zone, new Date()) : Promise.resolve(undefined)),
    [...TRAP_TYPES],
    [zone],
  );
  const [open, setOpen] = useState<Open | undefined>(undefined);
  if (!facts || !data) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('traps.title')} />;
  const { in_ground, idle } = trapsNow(data.traps, data.catches, new Date(), facts.time_zone);
  const writes = mayRecord(facts);
  const close = () => setOpen(undefined);
  const set = (place: string, n?: number) => setOpen({ set_in: place, ...(n ? { n } : {}) });
  return (
    <div class="page traps-page">
      <PageHeader title={t('traps.title')} back="/" under={t('traps.under')} />
      <div class="traps-side">
        {data.traps.length === 0 ? (
          <EmptyState
            title={t('traps.none_title')}
            action={
              writes && (
                <Button kind="main" onClick={() => set('')}>
                  {t('traps.set_first')}
                </Button>
              )
            }
          >
            {t('traps.none_text')}
          </EmptyState>
        ) : (
          <InTheGround
            traps={in_ground}
            data={data}
            facts={facts}
            onLift={writes ? (lift) => setOpen({ lift }) : undefined}
          />
        )}
        {data.traps.length > 0 && writes && <Idle idle={idle} data={data} onSet={set} />}
        <BeetleCard data={data} facts={facts} writes={writes} />
        <Button icon="none" onClick={() => setOpen({ guide: true })}>
          {t('traps.guide_open')}
        </Button>
        <Caution>{t('traps.caution')}</Caution>
      </div>
      <Beds data={data} facts={facts} onSet={writes ? set : undefined} />
      {open && 'lift' in open && (
        <LiftSheet
          trap={open.lift}
          record={data.catches.find(({ id }) => id === open.lift.catch_id)}
          soil={soilTyped(open.lift, data, facts)}
          facts={facts}
          onClose={close}
        />
      )}
      {open && 'set_in' in open && (
        <SetSheet place={open.set_in} n={open.n} idle={idle} data={data} facts={facts} onClose={close} />
      )}
      {open && 'guide' in open && <Guide onClose={close} />}
    </div>
  );
}

/** Soil of the newest lift of today in the same bed, in the plot's unit: one measurement serves a whole set. */
function soilTyped({ trap }: InGround, data: TrapData, facts: PlotFacts): string {
  const own = new Set(data.all.filter(({ place_id }) => place_id === trap.place_id).map(({ id }) => id));
  const soil = lastSoil(data.catches, own, data.today, facts.time_zone);
  return soil ? String(Math.round(inUnit(soil, facts.unit) * 10) / 10) : '';
}

type GroundProps = {
  traps: readonly InGround[];
  data: TrapData;
  facts: PlotFacts;
  onLift: ((trap: InGround) => void) | undefined;
};

function InTheGround({ traps, ...rest }: GroundProps) {
  const due = traps.filter((trap) => trap.timing !== 'early');
  const waiting = traps.filter((trap) => trap.timing === 'early');
  return (
    <>
      <Card title={t('traps.due')} icon="trap" tone={due.length > 0 ? 'glow' : 'plain'}>
        {due.length === 0 && <p class="soft">{t('traps.due_none')}</p>}
        <TrapList traps={due} {...rest} />
        {due.length > 0 && <SoilWords traps={due} data={rest.data} facts={rest.facts} />}
      </Card>
      {waiting.length > 0 && (
        <Card title={t('traps.in_ground')}>
          <TrapList traps={waiting} {...rest} />
        </Card>
      )}
    </>
  );
}

function TrapList({ traps, data, facts, onLift }: GroundProps) {
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
          {onLift && (
            <Button
              kind={trap.timing === 'early' ? 'quiet' : 'main'}
              aria-label={t(trap.timing === 'early' ? 'traps.lift_early_one' : 'traps.lift_title', {
                label: trap.trap.label,
              })}
              onClick={() => onLift(trap)}
            >
              {trap.timing === 'early' ? t('traps.lift_early') : t('traps.lift')}
            </Button>
          )}
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

/** Whether a lift today would count: the newest soil reading where the due traps lie. */
function SoilWords({ traps, data, facts }: Pick<GroundProps, 'traps' | 'data' | 'facts'>) {
  const places = [...new Set(traps.map(({ trap }) => trap.place_id ?? ''))];
  const read = places.flatMap((place) => {
    const soil = data.soil.get(place);
    return soil ? [{ place, ...soil }] : [];
  });
  if (read.length === 0) return <p class="soft small">{t('traps.soil_unread')}</p>;
  return (
    <>
      {read.map(({ place, celsius, day }) => (
        <p key={place} class={`small ${celsius > SOIL_ABOVE_C ? 'soft' : 'trap-late'}`}>
          {t(celsius > SOIL_ABOVE_C ? 'traps.soil_warm' : 'traps.soil_cold', {
            place: data.placeLabel.get(place) ?? '',
            soil: `${decimals(inUnit({ value: celsius, unit: 'degC' }, facts.unit))} ${t(`forms.unit_${facts.unit}`)}`,
            day: dayWords(day, data.today),
          })}
        </p>
      ))}
    </>
  );
}

/** Beds with traps that lie in no soil now, and the way to set a whole set anywhere. */
function Idle({
  idle,
  data,
  onSet,
}: {
  idle: readonly Trap[];
  data: TrapData;
  onSet: (place: string, n?: number) => void;
}) {
  const beds = [...new Set(idle.map(({ place_id }) => place_id ?? ''))];
  return (
    <Card title={t('traps.set_title')}>
      {beds.length > 0 && <p class="soft small">{t('traps.idle')}</p>}
      <ul class="trap-list">
        {beds.map((bed) => {
          const own = idle.filter(({ place_id }) => (place_id ?? '') === bed);
          const label = data.placeLabel.get(bed) || t('traps.no_bed');
          return (
            <li key={bed} class="trap-row">
              <div class="grow">
                <strong>{label}</strong>
                <p class="soft small">{own.map((trap) => trap.label).join(', ')}</p>
              </div>
              <Button
                aria-label={t('traps.set_again_in', { n: own.length, bed: label })}
                onClick={() => onSet(bed, own.length)}
              >
                {t('traps.set_again', { n: own.length })}
              </Button>
            </li>
          );
        })}
      </ul>
      <Button wide icon="plus" onClick={() => onSet('')}>
        {t('traps.set_new')}
      </Button>
    </Card>
  );
}
