/**
 * What traps and soil cores say of wireworms in a bed, and what follows for potatoes and carrots. Pure.
 *
 * The same rules as the server's warning (core/warnings/bed_evidence.py), with the plot's own settings, so that the
 * screen and the warning never say two things.
 */
import { density, missChance, stopLine, trapThumb } from '../../agronomy';
import { localDay } from '../forms/local_time';
import { type Catch, type Validity, validityOf, wasSearched } from './model';

export type Verdict = 'do_not' | 'earlies_only' | 'wait' | 'plant';
const WORST_FIRST: readonly Verdict[] = ['do_not', 'earlies_only', 'plant', 'wait'];

export interface Limits {
  /** So many a trap on average would be tolerated. */
  plant_per_trap: number;
  /** From so many a trap on: do not plant. */
  do_not_per_trap: number;
  /** From such a density in soil cores on: do not plant [1/ha]. */
  do_not_per_ha: number;
  /** How clumped wireworms lie between traps; small is clumped. */
  clumping_k: number;
}

/** A nil result counts when it would be missed no oftener than this at the level that is tolerated. */
export const MISSED = 0.05;
/** The density that one find in 20 cores of 4 inches stands for, the usual yardstick [1/ha]. */
export const YARDSTICK_PER_HA = 61_673;
/** Share of the larvae that is found: Ann. appl. Biol. 1945, 32:148; washing at its lower end. */
const RECOVERY = { hand_sort: 0.4, wash: 0.95 } as const;

export interface Sample {
  id: string;
  place_id?: string;
  cores?: number;
  core_diameter_m?: number;
  found?: number;
  method?: string;
  observed_at?: string;
}

export interface TrapEvidence {
  found: number;
  n: number;
  per_trap: number;
  low: number;
  high: number;
  per_acre: number;
  /** Chance that so many traps all come up empty where the tolerated number is usual. */
  p_miss: number;
}
export interface CoreEvidence {
  found: number;
  n: number;
  diameter_m: number;
  method: 'hand_sort' | 'wash';
  per_m2: number;
  low_m2: number;
  high_m2: number;
  /** One-sided upper limit: what a nil result still allows. */
  up_to_m2: number;
  per_ha: number;
  /** Chance that the cores all come up empty at the yardstick density. */
  p_miss: number;
  verdict: Verdict;
}
export interface BedEvidence {
  traps: TrapEvidence | undefined;
  cores: CoreEvidence[];
  left_out: { record: Catch; validity: Validity }[];
  /** Wireworms in traps that do not count: a find all the same. */
  found_anyway: number;
  disputed: number;
  verdict: Verdict | undefined;
}

/** What was found this year and last speaks for a bed: larvae live four to five years. */
export function speaksSince(today: string): string {
  return `${Number(today.slice(0, 4)) - 1}-01-01`;
}

export function bedEvidence(
  lifts: readonly Catch[],
  samples: readonly Sample[],
  limits: Limits,
  timeZone: string,
): BedEvidence {
  const judged = lifts
    .filter((record) => record.state !== undefined && record.state !== 'not_turned')
    .map((record) => ({ record, validity: validityOf(record, timeZone) }));
  const used = judged.filter(
    ({ record, validity }) => validity.valid === true && wasSearched(record) && !record.disputed,
  );
  const leftOut = judged.filter(({ validity }) => validity.valid !== true);
  const foundAnyway = leftOut.reduce(
    (sum, { record }) => sum + (wasSearched(record) ? (record.wireworms ?? 0) : 0),
    0,
  );
  const traps =
    used.length > 0
      ? trapEvidence(
          used.map(({ record }) => record),
          limits,
        )
      : undefined;
  const cores = coreEvidence(samples, limits);
  const verdicts = [...(traps ? [trapVerdict(traps, limits)] : []), ...cores.map(({ verdict }) => verdict)];
  const verdict = WORST_FIRST.find((one) => verdicts.includes(one));
  const mild = verdict === undefined || verdict === 'plant' || verdict === 'wait';
  return {
    traps,
    cores,
    left_out: leftOut,
    found_anyway: foundAnyway,
    disputed: judged.filter(({ record }) => record.disputed).length,
    // A find in a trap that does not count is a find all the same.
    verdict: foundAnyway > 0 && mild ? 'earlies_only' : verdict,
  };
}

function trapEvidence(records: readonly Catch[], limits: Limits): TrapEvidence {
  const found = records.reduce((sum, record) => sum + (record.wireworms ?? 0), 0);
  const thumb = trapThumb({ caught: found, n_traps: records.length });
  return {
    found,
    n: records.length,
    per_trap: thumb.per_trap,
    low: thumb.low_per_trap,
    high: thumb.high_per_trap,
    per_acre: thumb.per_acre,
    p_miss: missed(records.length, limits),
  };
}

function missed(n: number, { plant_per_trap, clumping_k }: Limits): number {
  return missChance({ mean_per_unit: plant_per_trap, n_units: n, k: clumping_k }).p_miss;
}

function trapVerdict(traps: TrapEvidence, limits: Limits): Verdict {
  if (traps.per_trap >= limits.do_not_per_trap) return 'do_not';
  const enough = traps.p_miss <= MISSED;
  if (traps.found === 0) return enough ? 'plant' : 'wait';
  return enough && traps.high < limits.plant_per_trap ? 'plant' : 'earlies_only';
}

/** Cores of one method and one diameter speak together. */
function coreEvidence(samples: readonly Sample[], limits: Limits): CoreEvidence[] {
  const groups = new Map<
    string,
    { n: number; found: number; diameter_m: number; method: 'hand_sort' | 'wash' }
  >();
  for (const { cores, core_diameter_m, found, method } of samples) {
    if (!cores || !core_diameter_m || found === undefined) continue;
    const how = method === 'wash' ? 'wash' : 'hand_sort';
    const key = `${core_diameter_m} ${how}`;
    const before = groups.get(key) ?? { n: 0, found: 0, diameter_m: core_diameter_m, method: how };
    groups.set(key, { ...before, n: before.n + cores, found: before.found + found });
  }
  return [...groups.values()]
    .sort((a, b) => a.diameter_m - b.diameter_m || (a.method < b.method ? -1 : 1))
    .map((group) => {
      const searched = {
        n_units: group.n,
        core_diameter_m: group.diameter_m,
        recovery: RECOVERY[group.method],
      };
      const rate = density({ found: group.found, ...searched });
      const upTo = rate.upper_one_sided_per_ha;
      return {
        ...group,
        per_m2: rate.per_m2,
        low_m2: rate.low_per_m2,
        high_m2: rate.high_per_m2,
        up_to_m2: upTo / 10_000,
        per_ha: rate.per_ha,
        p_miss: missChance({ per_ha: YARDSTICK_PER_HA, ...searched }).p_miss,
        verdict: coreVerdict(group.found, rate.per_ha, upTo, limits),
      };
    });
}

function coreVerdict(found: number, perHa: number, upToPerHa: number, limits: Limits): Verdict {
  if (perHa >= limits.do_not_per_ha) return 'do_not';
  if (found > 0) return 'earlies_only';
  return upToPerHa < limits.do_not_per_ha ? 'plant' : 'wait';
}

/** `enough`: more traps would not change the answer. `more`: so many would settle it. `open`: no number would. */
export type Settled =
  | { state: 'enough'; says: 'few' | 'many' | 'none' }
  | { state: 'more'; n: number; if_all: 'none' | 'like_these' }
  | { state: 'open' };

/** From so many on nobody would dig them; our choice, no source. */
const MOST_MORE = 40;

/**
 * Traps one after the other: enough, or how many more. Nothing found: as many as make a miss unlikely. Some found:
 * Wald's sequential test between the tolerated number and the one that forbids planting, one error in twenty each.
 */
export function settled(traps: TrapEvidence | undefined, limits: Limits): Settled {
  if (traps === undefined || traps.found === 0) {
    const one = missed(1, limits);
    const needed = Math.max(Math.ceil((Math.log(MISSED) / Math.log(one)) * (1 - 1e-12)), 1);
    const n = needed - (traps?.n ?? 0);
    return n > 0 ? { state: 'more', n, if_all: 'none' } : { state: 'enough', says: 'none' };
  }
  if (limits.do_not_per_trap <= limits.plant_per_trap) return { state: 'open' };
  const line = stopLine({
    method: 'wald',
    n: [traps.n],
    total: traps.found,
    mean0: limits.plant_per_trap,
    mean1: limits.do_not_per_trap,
    k: limits.clumping_k,
    error_low: MISSED,
    error_high: MISSED,
  });
  if (line.verdict === 'high') return { state: 'enough', says: 'many' };
  if (line.verdict === 'low') return { state: 'enough', says: 'few' };
  const away = traps.per_trap - (line.slope ?? 0);
  const reach = away > 0 ? (line.intercept ?? 0) : -(line.intercept_lower ?? 0);
  const n = Math.floor(reach / Math.abs(away)) + 1 - traps.n;
  return n > 0 && n <= MOST_MORE ? { state: 'more', n, if_all: 'like_these' } : { state: 'open' };
}

export interface RankedBed {
  id: string;
  label: string;
  evidence: BedEvidence;
  /** 1 is the bed with the lowest upper limit of its catch a trap; none without a valid trap. */
  rank: number | undefined;
}

/** Beds by the upper limit of the catch a trap; then those with cores alone, by theirs; then the unknown, by name. */
export function ranked(beds: readonly Omit<RankedBed, 'rank'>[]): RankedBed[] {
  const high = (bed: Omit<RankedBed, 'rank'>) => bed.evidence.traps?.high ?? Infinity;
  const cores = (bed: Omit<RankedBed, 'rank'>) =>
    Math.min(...bed.evidence.cores.map((one) => (one.found > 0 ? one.high_m2 : one.up_to_m2)), Infinity);
  const by = (a: number, b: number) => (a === b ? 0 : a - b);
  return [...beds]
    .sort(
      (a, b) =>
        by(high(a), high(b)) ||
        by(cores(a), cores(b)) ||
        a.label.localeCompare(b.label, 'en', { numeric: true }),
    )
    .map((bed) => ({
      ...bed,
      rank: bed.evidence.traps ? 1 + beds.filter((other) => high(other) < high(bed)).length : undefined,
    }));
}

/** Lifts and samples of each bed since the beginning of last year, weighed and ranked. */
export function weighBeds(
  data: {
    catches: readonly Catch[];
    samples: readonly Sample[];
    place_of: ReadonlyMap<string, string>;
    labels: ReadonlyMap<string, string>;
  },
  limits: Limits,
  today: string,
  timeZone: string,
): RankedBed[] {
  const since = speaksSince(today);
  const recent = (at: string | undefined) => {
    const day = at === undefined ? '' : localDay(at, timeZone);
    return day >= since && day <= today;
  };
  const lifts = data.catches.filter(({ observed_at }) => recent(observed_at));
  const samples = data.samples.filter(({ observed_at }) => recent(observed_at));
  const bedOf = ({ station_id }: Catch) => data.place_of.get(station_id) ?? '';
  const ids = new Set([...lifts.map(bedOf), ...samples.map(({ place_id }) => place_id ?? '')]);
  const beds = [...ids].map((id) => ({
    id,
    label: data.labels.get(id) ?? '',
    evidence: bedEvidence(
      lifts.filter((lift) => bedOf(lift) === id),
      samples.filter((sample) => (sample.place_id ?? '') === id),
      limits,
      timeZone,
    ),
  }));
  const spoken = ({ evidence }: { evidence: BedEvidence }) =>
    evidence.traps !== undefined ||
    evidence.cores.length > 0 ||
    evidence.left_out.length + evidence.disputed > 0;
  return ranked(beds.filter(spoken));
}
