import { useState } from 'preact/hooks';
import { ButtonLink, Caution, EmptyState, PageHeader } from '../../parts';
import { list, useLive } from '../../storage';
import { t } from '../../text';
import { known } from '../forms/known';
import { localDay } from '../forms/local_time';
import { NoPlot } from '../forms/no_plot';
import { mayRecord, usePlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { inWalkingOrder, isRetired } from '../plot/model';
import { type CardDraft, EMPTY_CARD, type PastReading, readingsOf } from './model';
import { lastReadings } from './past';
import { ThermometerCard } from './thermometer_card';
import '../forms/style.css';
import './style.css';

async function load(timeZone: string) {
  const today = localDay(new Date(), timeZone);
  const [stations, places] = await Promise.all([list('station'), list('place')]);
  const placeLabel = new Map(places.map((place) => [place.id, place.body.label ?? '']));
  const thermometers = inWalkingOrder(
    stations
      .map((station) => ({ ...known(station.body), id: station.id }))
      .filter((station) => station.kind === 'thermometer' || station.kind === 'grass_minimum')
      .filter((station) => !isRetired(station, today)),
  );
  const past = await lastReadings(
    thermometers.map(({ id }) => id),
    today,
  );
  return { thermometers, placeLabel, past };
}

export default function Readings() {
  const facts = usePlotFacts();
  const zone = facts?.time_zone;
  const data = useLive(
    () => (zone ? load(zone) : Promise.resolve(undefined)),
    ['station', 'place', 'temperature'],
    [zone],
  );
  const draft = useDraft<Record<string, CardDraft>>('readings', {});
  const [open, setOpen] = useState<string | undefined>(undefined);
  if (!facts || !data || !draft.ready) return <div class="page" aria-busy="true" />;
  if (!facts.plot) return <NoPlot title={t('readings.title')} />;
  const { thermometers, placeLabel, past } = data;
  const writes = mayRecord(facts);
  return (
    <div class="page">
      <PageHeader
        title={t('readings.title')}
        back="/"
        under={t('readings.under', { n: thermometers.length })}
      />
      {thermometers.length === 0 && (
        <EmptyState
          title={t('readings.none_title')}
          action={
            writes && (
              <ButtonLink kind="main" to="/plot">
                {t('readings.to_plot')}
              </ButtonLink>
            )
          }
        >
          {t('readings.none_text')}
        </EmptyState>
      )}
      {!writes && thermometers.length > 0 && <p class="soft">{t('forms.reader_only')}</p>}
      {thermometers.map((station) => (
        <ThermometerCard
          key={station.id}
          station={station}
          placeLabel={placeLabel.get(station.place_id ?? '') ?? ''}
          facts={facts}
          past={readingsOf(station.id, past)}
          writes={writes}
          open={writes && open === station.id}
          draft={draft.value[station.id] ?? EMPTY_CARD}
          onOpen={(on) => setOpen(on ? station.id : undefined)}
          onDraft={(card) => draft.change({ [station.id]: card })}
          onSaved={() => {
            draft.change({ [station.id]: EMPTY_CARD });
            const next = thermometers[thermometers.findIndex((other) => other.id === station.id) + 1];
            setOpen(next && !readToday(next.id, past, facts.time_zone) ? next.id : undefined);
          }}
        />
      ))}
      {writes && thermometers.length > 0 && <Caution>{t('readings.caution')}</Caution>}
    </div>
  );
}

function readToday(stationId: string, past: readonly PastReading[], timeZone: string): boolean {
  const last = readingsOf(stationId, past)[0];
  return last !== undefined && localDay(last.observed_at, timeZone) === localDay(new Date(), timeZone);
}
