/**
 * Tonight's frost at every place and for every crop, reckoned on the phone as the server reckons it: from what the
 * server has learned of the plot; before it has, from the nights on this phone; before those, from public ones.
 */
import { InputFault } from '../../agronomy';
import { spotOf } from '../../domain/daylight';
import { type FrostDecision, frostDecision, type Learned } from '../../domain/frost_decision';
import { type GrownCrop, type StandingCrop, standingCrops } from '../../domain/standing_crops';
import { RULES } from '../../generated/api';
import { type Ask, oneByOne, type View } from '../../storage';
import { known } from '../forms/known';
import { dayPlus, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import type { PastReading } from '../readings/model';
import { type Meter, nightOf } from '../warnings/last_night';
import { watchOf } from '../watch/model';
import { airOf, EMPTY_EVENING, ENOUGH_NIGHTS, usualDrop } from './model';
import { nightsHere } from './own_nights';
import { countsUntil, isCovered, openAir, seenIn } from './seen';

export type Basis = 'learned' | 'own' | 'public';
export interface Tonight {
  night: string;
  learned: Learned;
  basis: Basis;
  n_nights: number;
  crops: StandingCrop[];
  /** A crop was recorded on this plot, standing or not. */
  crops_known: boolean;
  settings: { cost: number; loss: number; at_c: number | null };
  /** Off for this plot: reckoned all the same, but it warns of nothing. */
  on: boolean;
  labels: ReadonlyMap<string, string>;
  kinds: Readonly<Record<string, string>>;
  /** The newest evening reading in the open of this night. */
  evening: View<'evening'> | undefined;
  /** Lowest current reading since then, by place; '' in the open [°C]. */
  seen_c: Record<string, number>;
  /** When the newest of these readings was taken that the server has not got [ms]; 0: it has all. */
  unsent_at: number;
}
type Unsent = { pending: boolean };
export interface EveningFacts {
  evening_c: number;
  dew_c: number | null;
  sky: string | null;
  wind: string | null;
}

export async function loadTonight(facts: PlotFacts, now: Date, ask: Ask = oneByOne): Promise<Tonight> {
  const night = nightOf(now, facts.time_zone);
  const [places, stations, evenings, crops, events, watches, [learned]] = await Promise.all([
    ask.list('place'),
    ask.list('station'),
    ask.list('evening', { from: night, to: dayPlus(night, 1) }),
    ask.list('crop'),
    ask.list('crop_event'),
    ask.list('watch'),
    ask.list('learned'),
  ]);
  const used = places.filter(({ body }) => body.archived !== true);
  const kinds = Object.fromEntries(used.map(({ id, body }) => [id, String(body.kind)]));
  const meters = stations.map((station) => ({ ...known(station.body), id: station.id }) as Meter);
  const open = openAir(meters, kinds);
  const evening = eveningOf(evenings, kinds, night, now, facts.time_zone);
  const grown = crops.map((crop) => grownCrop(crop, events, facts.time_zone));
  const fit = learned?.body.frost_fit as Learned['frost_fit'] | undefined;
  const taught = fit
    ? {
        learned: {
          frost_fit: fit,
          offsets: (learned?.body.offsets ?? null) as NonNullable<Learned['offsets']> | null,
        },
        n: fit.n,
      }
    : await fromHere(open, facts, night, ask);
  const enough = taught.n >= ENOUGH_NIGHTS;
  return {
    night,
    learned: taught.learned,
    basis: enough ? (fit ? 'learned' : 'own') : 'public',
    n_nights: taught.n,
    crops: standingCrops(grown, kinds, night),
    crops_known: crops.length > 0,
    ...wanted(watches),
    labels: new Map(used.map(({ id, body }) => [id, body.label ?? ''])),
    kinds,
    evening,
    ...(evening ? await seenSince(evening, meters, kinds, facts, now, ask) : { seen_c: {}, unsent_at: 0 }),
  };
}

/** Whether somebody has read this evening: asked first, because the whole needs many more records. */
export async function isRead(facts: PlotFacts, now: Date, ask: Ask): Promise<boolean> {
  const night = nightOf(now, facts.time_zone);
  const evenings = await ask.list('evening', { from: night, to: dayPlus(night, 1) });
  return evenings.some(
    ({ body }) => body.observed_at && nightOf(body.observed_at, facts.time_zone) === night,
  );
}

function eveningOf(
  evenings: readonly View<'evening'>[],
  kinds: Readonly<Record<string, string>>,
  night: string,
  now: Date,
  timeZone: string,
): View<'evening'> | undefined {
  return evenings
    .filter(({ body }) => body.observed_at && body.air && nightOf(body.observed_at, timeZone) === night)
    .filter(({ body }) => !isCovered(kinds[body.place_id ?? '']))
    .filter(({ body }) => Date.parse(body.observed_at ?? '') <= now.getTime())
    .sort((a, b) => at(a) - at(b) || (a.id < b.id ? -1 : 1))
    .at(-1);
}

function at(view: View<'evening'>): number {
  return Date.parse(view.body.observed_at ?? '');
}

async function fromHere(open: Meter | undefined, facts: PlotFacts, night: string, ask: Ask) {
  const nights = open ? await nightsHere(open, facts, night, ask) : [];
  return { learned: { frost_fit: usualDrop(nights), offsets: {} }, n: nights.length };
}

function grownCrop(crop: View<'crop'>, events: readonly View<'crop_event'>[], timeZone: string): GrownCrop {
  const { kind = '', place_id, started_on, ended_on } = crop.body;
  return {
    crop_id: crop.id,
    kind,
    place_id: place_id ?? null,
    started_on: started_on ?? null,
    ended_on: ended_on ?? null,
    events: events.flatMap(({ body }) =>
      body.crop_id === crop.id && body.observed_at && body.what
        ? [
            {
              on: localDay(body.observed_at, timeZone),
              what: body.what,
              stage: body.stage ?? null,
              place_id: body.place_id ?? null,
            },
          ]
        : [],
    ),
  };
}

/** What the plot wants of the rule; the usual where nobody has said, or what was said is not fit. */
function wanted(watches: readonly View<'watch'>[]): Pick<Tonight, 'settings' | 'on'> {
  const rule = RULES.find(({ name }) => name === 'frost');
  const watch = watchOf(watches, 'frost');
  const given = watch?.body.settings ?? {};
  const value = (name: string): number | null => {
    const setting = rule?.settings.find((one) => one.name === name);
    const said = given[name];
    const fit =
      typeof said === 'number' &&
      said >= (setting?.low ?? Number.NEGATIVE_INFINITY) &&
      said <= (setting?.high ?? Number.POSITIVE_INFINITY);
    if (fit) return said;
    return typeof setting?.default === 'number' ? setting.default : null;
  };
  // Without the rule's own figures nothing is weighed.
  return {
    settings: { cost: value('cost') ?? 0, loss: value('loss') ?? 0, at_c: value('at_c') },
    on: watch?.body.on ?? rule?.on ?? true,
  };
}

/** What was seen since the evening, and when the newest of its readings that is still only here was taken. */
async function seenSince(
  evening: View<'evening'>,
  meters: readonly Meter[],
  kinds: Readonly<Record<string, string>>,
  facts: PlotFacts,
  now: Date,
  ask: Ask,
): Promise<Pick<Tonight, 'seen_c' | 'unsent_at'>> {
  const read_at = evening.body.observed_at ?? '';
  const night = nightOf(read_at, facts.time_zone);
  const readings = await ask.list('temperature', { from: night, to: dayPlus(night, 1) });
  const end = countsUntil(night, facts.plot && spotOf(facts.plot.body), facts.time_zone);
  const span = { from: Date.parse(read_at), until: Math.min(now.getTime(), end) };
  const past = readings
    .filter(({ body }) => body.observed_at && body.station_id)
    .map((view) => ({ ...known(view.body), id: view.id, pending: view.pending }) as PastReading & Unsent);
  const unsent = past
    .filter((one) => one.pending && Object.keys(seenIn(meters, kinds, [one], span)).length > 0)
    .map((one) => Date.parse(one.observed_at));
  return {
    seen_c: seenIn(meters, kinds, past, span),
    unsent_at: Math.max(evening.pending ? span.from : 0, ...unsent),
  };
}

/** An evening record in the words of the decision; a moisture that cannot be is none. */
export function eveningFacts(body: View<'evening'>['body']): EveningFacts | undefined {
  const { air, sky, wind } = body;
  if (!air) return undefined;
  const moist =
    body.dew ?? body.wet ?? (body.humidity_percent ? { value: body.humidity_percent, unit: '' } : undefined);
  const draft = { ...EMPTY_EVENING, air: String(air.value), moist: moist ? String(moist.value) : '' };
  const moisture = body.dew ? 'dew' : body.wet ? 'wet' : 'humidity';
  const unit = air.unit === 'degF' ? 'degF' : 'degC';
  const told = airOf({ ...draft, moisture }, unit);
  const dry = airOf({ ...draft, moisture: 'humidity', moist: '50' }, unit);
  if (!dry || 'fault' in dry) return undefined;
  return {
    evening_c: dry.air_c,
    dew_c: told && 'dew_c' in told && told.dew_c <= told.air_c ? told.dew_c : null,
    sky: sky ?? null,
    wind: wind ?? null,
  };
}

/** The whole decision; undefined where a figure is beyond what the calculation takes. */
export function decide(
  tonight: Tonight,
  evening: EveningFacts,
  seen: Record<string, number> = {},
): FrostDecision | undefined {
  try {
    return frostDecision({
      learned: tonight.learned,
      evening,
      crops: tonight.crops,
      settings: tonight.settings,
      seen_c: seen,
      air_frost: !tonight.crops_known,
    });
  } catch (error) {
    if (error instanceof InputFault) return undefined;
    throw error;
  }
}
