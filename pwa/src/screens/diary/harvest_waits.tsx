import { Card, Notice } from '../../parts';
import type { Ask } from '../../storage';
import { t } from '../../text';
import { known } from '../forms/known';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { type CropStory, cropStories } from './crops';
import type { DiaryData } from './load';
import type { DiaryView } from './model';
import { type PlaceWait, type Scoring, scorings, waits, waitsByPlace } from './waiting';
import { choiceWords } from './words';

/** What `HarvestWaits` shows. */
export async function readHarvestWaits(facts: PlotFacts, ask: Ask) {
  const [treatments, places, crops, events] = await Promise.all([
    ask.list('treatment'),
    ask.list('place'),
    ask.list('crop'),
    ask.list('crop_event'),
  ]);
  const plain = (views: readonly { id: string; type: string; body: object }[]) =>
    views.map((view) => ({ ...view, body: known(view.body) })) as DiaryView[];
  return {
    treatments: plain(treatments),
    place: new Map(places.map((view) => [view.id, view.body.label ?? ''])),
    stories: () => cropStories(plain(crops), plain(events), facts.time_zone),
  };
}
type Read = Awaited<ReturnType<typeof readHarvestWaits>>;

/** On Now: what was treated and may not be harvested yet. Nothing is shown when nothing waits. */
export function HarvestWaits({ facts, now, read }: { facts: PlotFacts; now: number; read: Read }) {
  const today = localDay(new Date(now), facts.time_zone);
  const still = waitsByPlace(waits(read.treatments, facts.time_zone, today));
  return <WaitNotice still={still} place={read.place} stories={read.stories} today={today} />;
}

/** In the diary: the same, and which drenches can be scored. */
export function DuePart({ facts, data }: { facts: PlotFacts; data: DiaryData }) {
  const zone = facts.time_zone;
  const today = localDay(new Date(), zone);
  const place = new Map(data.places.map(({ id, label }) => [id, label]));
  return (
    <>
      <WaitNotice
        still={waitsByPlace(waits(data.treatments, zone, today))}
        place={place}
        stories={() => cropStories(data.crops, data.events, zone)}
        today={today}
      />
      <ScoringCard due={scorings(data.treatments, zone, today)} place={place} today={today} />
    </>
  );
}

type WaitProps = {
  still: readonly PlaceWait[];
  place: ReadonlyMap<string, string>;
  /** Asked only where something waits: they take every crop and all that became of it. */
  stories: () => readonly CropStory[];
  today: string;
};

function WaitNotice({ still, place, stories, today }: WaitProps) {
  if (still.length === 0) return null;
  const grown = stories();
  return (
    <Notice tone="bad">
      <strong>{t('crops.wait_title')}</strong>
      <ul class="harvest-waits">
        {still.map((wait) => (
          <li key={wait.place_id}>
            {t('crops.wait_line', {
              where: place.get(wait.place_id) ?? '',
              day: dayWords(wait.until, today),
            })}
            <span class="small"> · {productWords(wait, today)}</span>
            <span class="small"> {cropsThere(wait.place_id, grown)}</span>
          </li>
        ))}
      </ul>
    </Notice>
  );
}

/** The product; with the day of each when there are several. */
function productWords({ products }: PlaceWait, today: string): string {
  const name = ({ body }: DiaryView) => (body.product ? String(body.product) : choiceWords(body.kind));
  const [only] = products;
  if (products.length === 1 && only) return name(only.treatment);
  return products
    .map(({ treatment, until }) =>
      t('crops.wait_product', { product: name(treatment), day: dayWords(until, today) }),
    )
    .join(', ');
}

function cropsThere(placeId: string, stories: readonly CropStory[]): string {
  const names = stories
    .filter(({ place_id, ended_on }) => place_id === placeId && !ended_on)
    .map(({ kind }) => kind);
  return names.length > 0 ? `(${[...new Set(names)].join(', ')})` : '';
}

function ScoringCard(props: { due: readonly Scoring[]; place: ReadonlyMap<string, string>; today: string }) {
  const { due, place, today } = props;
  if (due.length === 0) return null;
  return (
    <Card title={t('crops.score_title')} icon="plank">
      <ul class="harvest-waits">
        {due.map(({ treatment, from, to }) => (
          <li key={treatment.id}>
            {t(from > today ? 'crops.score_later' : 'crops.score_now', {
              what: choiceWords(treatment.body.kind),
              where: ((treatment.body.place_ids as string[] | undefined) ?? [])
                .map((id) => place.get(id) ?? '')
                .filter(Boolean)
                .join(', '),
              from: dayWords(from, today),
              to: dayWords(to, today),
            })}
          </li>
        ))}
      </ul>
    </Card>
  );
}
