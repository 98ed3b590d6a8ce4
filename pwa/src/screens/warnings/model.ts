/** What the warnings screens read from the phone. */
import { type Answer, answerOf, earlier, standing } from '../../domain/warnings';
import { type Ask, get, list, oneByOne, type View } from '../../storage';
import { known } from '../forms/known';
import { dayPlus } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import type { PastReading } from '../readings/model';
import { isAsked, type Meter, type Minimum, minimumOf, nightWarned } from './last_night';
import { myReply } from './replies';
import { outcomeOf } from './words';

export interface ListRow {
  view: View<'warning'>;
  answer: Answer;
}
export interface WarningList {
  standing: ListRow[];
  earlier: ListRow[];
  labels: ReadonlyMap<string, string>;
}

export async function loadList(facts: PlotFacts, now: number): Promise<WarningList> {
  const [all, replies, places] = await Promise.all([list('warning'), list('warning_reply'), list('place')]);
  const row = async (view: View<'warning'>): Promise<ListRow> => ({
    view,
    answer: answerOf(view.id, replies, { mine: await myReply(view.id), observer: facts.observer }),
  });
  return {
    standing: await Promise.all(standing(all, new Set(), now).map(row)),
    earlier: await Promise.all(earlier(all, now).map(row)),
    labels: new Map(places.map(({ id, body }) => [id, body.label ?? ''])),
  };
}

export interface WarningPage {
  view: View<'warning'> | undefined;
  answer: Answer;
  places: ReadonlyMap<string, string>;
  crops: ReadonlyMap<string, string>;
  /** What the thermometer said of the night it is about. */
  minimum: Minimum | undefined;
  score: Record<string, unknown> | undefined;
}

export async function loadPage(id: string, facts: PlotFacts): Promise<WarningPage> {
  const [view, replies, places, crops, [learned]] = await Promise.all([
    get('warning', id),
    list('warning_reply'),
    list('place'),
    list('crop'),
    list('learned'),
  ]);
  const scores = learned?.body.scores?.[view?.body.rule ?? ''];
  return {
    view,
    answer: answerOf(id, replies, { mine: await myReply(id), observer: facts.observer }),
    places: new Map(places.map((place) => [place.id, place.body.label ?? ''])),
    crops: new Map(crops.map((crop) => [crop.id, crop.body.variety ?? crop.body.kind ?? ''])),
    minimum: view && (await minimumFor(view, facts)),
    score: (scores ?? view?.body.score) as Record<string, unknown> | undefined,
  };
}

/** Read only for a warning of a night: no list of readings is opened for the others. */
export async function minimumFor(
  view: View<'warning'>,
  facts: PlotFacts,
  ask: Ask = oneByOne,
): Promise<Minimum | undefined> {
  const { rule = '', place_ids = [] } = view.body;
  const night = nightWarned(view.body, facts.time_zone);
  if (outcomeOf(rule) !== 'froze' || !night) return undefined;
  const [stations, readings] = await Promise.all([
    ask.list('station'),
    // From some days before: whether the thermometer was set back decides what its minimum means.
    ask.list('temperature', { from: dayPlus(night, -3), to: dayPlus(night, 2) }),
  ]);
  const meters = stations.map((station) => ({ ...known(station.body), id: station.id }) as Meter);
  return minimumOf(
    night,
    { rule, place_ids },
    meters,
    readings.map((reading) => ({ ...known(reading.body), id: reading.id }) as PastReading),
    { time_zone: facts.time_zone, habit: facts.habit },
  );
}

/** Warnings of last night on Now: of nights about which nobody has said anything yet, whichever rule spoke. */
export async function unanswered(facts: PlotFacts, now: number, ask: Ask): Promise<View<'warning'>[]> {
  const [all, replies] = await Promise.all([ask.list('warning'), ask.list('warning_reply')]);
  const answered = new Set(replies.flatMap(({ body }) => (body.outcome ? [body.warning_id] : [])));
  const ofNights = all.filter(({ body }) => outcomeOf(body.rule) === 'froze');
  const nightOf = ({ body }: View<'warning'>) => nightWarned(body, facts.time_zone);
  const told = new Set(ofNights.filter(({ id }) => answered.has(id)).map(nightOf));
  return ofNights.filter((view) => isAsked(view.body, now) && !told.has(nightOf(view)));
}
