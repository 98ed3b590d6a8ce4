import type { RecordType } from '../../generated/api';
import { Card, Notice } from '../../parts';
import { needsYou, useLive } from '../../storage';
import { t } from '../../text';
import { DIARY_TYPES, type DiaryView, momentOf } from '../diary/model';
import { type Names, titleOf } from '../diary/words';
import { dayWords, localDay } from '../forms/local_time';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { ConflictCard } from './conflict_card';
import { recentCounts } from './count_rows';
import { DeletionCard } from './deletion_card';
import { DoubleCard } from './double_card';
import { FixCard } from './fix_card';
import { clashesOf, deletionOf, doubleCounts, type OpenView } from './model';
import { recentFrom, together, useOldDoubles } from './old_doubles';
import { loadRefused, RefusedCard } from './refused_photos';

async function load(facts: PlotFacts) {
  const [views, { counts, rounds, stations, places, crops }, refused] = await Promise.all([
    needsYou(),
    recentCounts(recentFrom(facts.time_zone)),
    loadRefused(facts),
  ]);
  const names: Names = {
    station: new Map(stations.map((view) => [view.id, view.body.label ?? ''])),
    place: new Map(places.map((view) => [view.id, view.body.label ?? ''])),
    crop: new Map(crops.map((view) => [view.id, view.body.kind ?? ''])),
    unit: facts.unit,
    time_zone: facts.time_zone,
  };
  return {
    views,
    refused,
    doubles: doubleCounts(counts),
    rounds: new Map(rounds.map((view) => [view.id, view.body])),
    names,
  };
}

/** What a record is called here: its kind, its station and its day; ground records by their own name. */
export function recordWords(
  view: { type: string; id: string; body: Record<string, unknown> },
  names: Names,
): string {
  const label = view.body.label ?? view.body.name;
  if (!DIARY_TYPES.includes(view.type))
    return typeof label === 'string' && label !== '' ? label : view.type.replaceAll('_', ' ');
  const at = momentOf(view as DiaryView);
  const day = at ? dayWords(localDay(at, names.time_zone), localDay(new Date(), names.time_zone)) : '';
  return [titleOf(view as DiaryView, names), day].filter(Boolean).join(', ');
}

/** Whatever is in dispute may be changed once more while it is looked at. */
const ANY = [
  ...(DIARY_TYPES as RecordType[]),
  ...(['plot', 'place', 'station', 'member', 'photo', 'trial', 'watch', 'warning_reply', 'outbox'] as const),
];

/** What waits for a person; `undefined` until it is read. */
export function useOpen(facts: PlotFacts) {
  return useLive(() => load(facts), ANY, [facts.time_zone, facts.unit]);
}
type SettleProps = { facts: PlotFacts; data: NonNullable<ReturnType<typeof useOpen>> };

/** One card for each thing that waits for a person. Nothing is chosen beforehand. */
export function Settle({ facts, data }: SettleProps) {
  const { views, rounds, names } = data;
  const old = useOldDoubles(facts);
  const doubles = together(data.doubles, old.found);
  const open = views as unknown as (OpenView & {
    needs_fix?: { title: string };
    deleted_elsewhere?: boolean;
  })[];
  const waiting = open.length + doubles.length + data.refused.photos.length;
  const writes = mayRecord(facts);
  return (
    <section class="stack" aria-labelledby="settle">
      <h2 id="settle">{t('sync.settle')}</h2>
      {waiting === 0 && <Notice tone="good">{t('sync.settle_none')}</Notice>}
      {!writes && waiting > 0 && <p class="soft">{t('sync.settle_elsewhere', { n: waiting })}</p>}
      {writes && <RefusedCard {...data.refused} />}
      {(writes ? doubles : []).map((double) => (
        <DoubleCard
          key={`${double.round_id}${double.station_id}`}
          double={double}
          round={rounds.get(double.round_id) ?? old.rounds.get(double.round_id)}
          names={names}
        />
      ))}
      {(writes ? open : []).map((view) => {
        const what = recordWords(view, names);
        if (deletionOf(view)) return <DeletionCard key={view.id} view={view} what={what} names={names} />;
        if (clashesOf(view).length > 0 || view.conflicts.length > 0)
          return <ConflictCard key={view.id} view={view} what={what} facts={facts} names={names} />;
        if (view.needs_fix) return <FixCard key={view.id} view={view} what={what} />;
        return (
          <Card key={view.id} title={t('sync.elsewhere_title', { what })}>
            <p>{t('sync.elsewhere_text')}</p>
          </Card>
        );
      })}
    </section>
  );
}
