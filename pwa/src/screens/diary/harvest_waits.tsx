import { Notice } from '../../parts';
import { list, useLive } from '../../storage';
import { t } from '../../text';
import { known } from '../forms/known';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import type { DiaryView } from './model';
import { type Wait, waits } from './waiting';

/** On Now: what was treated and may not be harvested yet. Nothing is shown when nothing waits. */
export function HarvestWaits({ facts, now }: { facts: PlotFacts; now: number }) {
  const read = useLive(async () => {
    const [treatments, places] = await Promise.all([list('treatment'), list('place')]);
    return {
      treatments: treatments.map((view) => ({ ...view, body: known(view.body) })) as DiaryView[],
      place: new Map(places.map((view) => [view.id, view.body.label ?? ''])),
    };
  }, ['treatment', 'place']);
  if (!read) return null;
  const today = localDay(new Date(now), facts.time_zone);
  return (
    <WaitNotice still={waits(read.treatments, facts.time_zone, today)} place={read.place} today={today} />
  );
}

export function WaitNotice(props: {
  still: readonly Wait[];
  place: ReadonlyMap<string, string>;
  today: string;
}) {
  const { still, place, today } = props;
  if (still.length === 0) return null;
  return (
    <Notice tone="bad">
      <strong>{t('crops.wait_title')}</strong>
      <ul class="harvest-waits">
        {still.map(({ place_id, until, treatment }) => (
          <li key={place_id}>
            {t('crops.wait_line', { where: place.get(place_id) ?? '', day: dayWords(until, today) })}
            {treatment.body.product ? <span class="small"> · {String(treatment.body.product)}</span> : null}
          </li>
        ))}
      </ul>
    </Notice>
  );
}
