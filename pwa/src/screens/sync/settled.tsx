import { useEffect, useRef, useState } from 'preact/hooks';
import { Button, Card } from '../../parts';
import { useLive } from '../../storage';
import { type TextKey, t } from '../../text';
import type { Names } from '../diary/words';
import { dayWords, localDay } from '../forms/local_time';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { recentCounts } from './count_rows';
import { DoubleCard } from './double_card';
import { type SettledDouble, settledDoubles } from './model';
import { recentFrom } from './old_doubles';

const AT_FIRST = 5;

async function load(facts: PlotFacts) {
  const since = recentFrom(facts.time_zone);
  const { counts, rounds, stations } = await recentCounts(since);
  return {
    settled: settledDoubles(counts, since),
    rounds: new Map(rounds.map((view) => [view.id, view.body])),
    station: new Map(stations.map((view) => [view.id, view.body.label ?? ''])),
  };
}

/** What was settled lately; `undefined` until it is read. */
export function useSettled(facts: PlotFacts) {
  return useLive(() => load(facts), ['slug_count', 'round', 'station'], [facts.time_zone]);
}
type SettledProps = { facts: PlotFacts; data: NonNullable<ReturnType<typeof useSettled>> };

/** What was said about double counts lately. Whoever learns better says it otherwise: nothing was thrown away. */
export function Settled({ facts, data }: SettledProps) {
  const [open, setOpen] = useState<string | undefined>(undefined);
  const [all, setAll] = useState(false);
  const place = useRef<HTMLDivElement>(null);
  const some = data.settled.length > 0;
  useEffect(() => {
    if (some && location.hash === '#settled') place.current?.scrollIntoView();
  }, [some]);
  if (!some) return null;
  const shown = all ? data.settled : data.settled.slice(0, AT_FIRST);
  const names: Names = {
    station: data.station,
    place: new Map(),
    crop: new Map(),
    unit: facts.unit,
    time_zone: facts.time_zone,
  };
  return (
    <div ref={place} id="settled">
      <Card title={t('sync.settled_title')} icon="tick">
        <p class="soft small">{t('sync.settled_text')}</p>
        <ul class="devices">
          {shown.map((double) => {
            const key = `${double.round_id} ${double.station_id}`;
            return (
              <li key={key} class="device">
                <div class="row-apart">
                  <SettledWords double={double} round={data.rounds.get(double.round_id)} names={names} />
                  {mayRecord(facts) && (
                    <Button
                      kind="quiet"
                      aria-expanded={open === key}
                      onClick={() => setOpen(open === key ? undefined : key)}
                    >
                      {t(open === key ? 'parts.close' : 'sync.settled_change')}
                    </Button>
                  )}
                </div>
                {open === key && (
                  <DoubleCard
                    double={double}
                    round={data.rounds.get(double.round_id)}
                    names={names}
                    standing={double.standing}
                    onDone={() => setOpen(undefined)}
                  />
                )}
              </li>
            );
          })}
        </ul>
        {!all && data.settled.length > AT_FIRST && (
          <Button kind="quiet" onClick={() => setAll(true)}>
            {t('sync.settled_more', { n: data.settled.length - AT_FIRST })}
          </Button>
        )}
      </Card>
    </div>
  );
}

type WordsProps = {
  double: SettledDouble;
  round: { kind?: string; observed_at?: string } | undefined;
  names: Names;
};

function SettledWords({ double, round, names }: WordsProps) {
  const at = round?.observed_at ?? double.counts[0]?.observed_at ?? '';
  const stands = double.counts.find(({ id }) => double.standing.includes(id));
  const number = stands?.state === 'counted' ? String(stands.count ?? '') : '';
  const words = number || t(`diary.state_${stands?.state ?? 'counted'}` as TextKey);
  return (
    <div class="grow">
      <strong>{names.station.get(double.station_id)}</strong>
      <p class="soft small">
        {at && dayWords(localDay(at, names.time_zone), localDay(new Date(), names.time_zone))}
        {' · '}
        {double.how === 'both'
          ? t('sync.settled_both')
          : t('sync.settled_one', { words, who: stands?.observer ?? '' })}
      </p>
    </div>
  );
}
