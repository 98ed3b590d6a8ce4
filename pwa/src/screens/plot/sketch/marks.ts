/** The number printed on each place in each layer, its class, and the same in words. */
import { decimals, t } from '../../../text';
import { choiceWords } from '../../diary/words';
import { inUnit, type TemperatureUnit } from '../../readings/model';
import type { Layer } from './scales';
import { stepOf } from './scales';
import type { DoneTreatment, GrownCrop, SoilWeek, WormBed } from './week_ground';
import type { BedWeek } from './week_slugs';

export interface Mark {
  /** Printed on the bed; empty when there is no number. */
  value: string;
  /** Colour step; none when there is no number. */
  step?: number;
  /** A diamond: something waits to be settled. */
  flagged?: boolean;
  /** For those who listen. */
  words: string;
}

export interface WeekFacts {
  slugs: ReadonlyMap<string, BedWeek>;
  worms: ReadonlyMap<string, WormBed>;
  n_ranked: number;
  treated: ReadonlyMap<string, readonly DoneTreatment[]>;
  crops: ReadonlyMap<string, readonly GrownCrop[]>;
  soil: ReadonlyMap<string, SoilWeek>;
}

/** Ten and more need no decimals: the interval is wider than that. Nought is nought, not a rounded little. */
export function figure(value: number): string {
  if (value === 0) return '0';
  return decimals(value, value >= 9.95 ? 0 : 1);
}

export function degreesIn(celsius: number, unit: TemperatureUnit): string {
  return decimals(inUnit({ value: celsius, unit: 'degC' }, unit)).replace('-', '\u2212');
}

/** The mark of one place, or `undefined` when the layer has nothing to do with it. */
export function markOf(
  layer: Layer,
  placeId: string,
  facts: WeekFacts,
  unit: TemperatureUnit,
): Mark | undefined {
  switch (layer) {
    case 'slugs':
      return slugMark(facts.slugs.get(placeId));
    case 'wireworm':
      return wormMark(facts.worms.get(placeId));
    case 'treatments':
      return treatedMark(facts.treated.get(placeId));
    case 'crops':
      return cropMark(facts.crops.get(placeId));
    case 'soil':
      return soilMark(facts.soil.get(placeId), unit);
  }
}

function slugMark(bed: BedWeek | undefined): Mark | undefined {
  if (!bed) return undefined;
  const flagged = bed.n_disputed > 0;
  if (bed.mean === null) return { value: '', flagged, words: slugWords(bed) };
  return { value: figure(bed.mean), step: stepOf('slugs', bed.mean), flagged, words: slugWords(bed) };
}

/** An upper limit that nobody could count to says only that these few boards cannot give one. */
const BEYOND = 1000;

export function slugWords(bed: BedWeek): string {
  const { mean, low, high, n } = bed;
  const said =
    mean === null || low === null
      ? t('sketch.slugs_no_number')
      : high === null || high > BEYOND
        ? t('sketch.slugs_open', { mean: decimals(mean), low: decimals(low), n })
        : t('sketch.slugs_mean', { mean: decimals(mean), low: decimals(low), high: decimals(high), n });
  return [said, bed.n_disputed > 0 ? t('sketch.n_disputed', { n: bed.n_disputed }) : '']
    .filter(Boolean)
    .join(' ');
}

function wormMark(bed: WormBed | undefined): Mark | undefined {
  if (!bed) return undefined;
  const { high, caught, n_traps, disputed } = bed.summary;
  const flagged = disputed > 0;
  if (high === null) return { value: '', flagged, words: t('traps.bed_no_valid') };
  const words = t('sketch.worm_words', { caught, n: n_traps, high: figure(high) });
  return { value: figure(high), step: stepOf('wireworm', high), flagged, words };
}

function treatedMark(done: readonly DoneTreatment[] | undefined): Mark | undefined {
  const newest = done?.[0];
  if (!newest) return undefined;
  const words = (done ?? []).map((one) => treatmentWords(one)).join('; ');
  return {
    value: t('sketch.days_short', { n: newest.days_ago }),
    step: stepOf('treatments', newest.days_ago),
    words,
  };
}

export function treatmentWords(done: DoneTreatment): string {
  return t('sketch.treated', { what: choiceWords(done.kind), n: done.days_ago });
}

function cropMark(crops: readonly GrownCrop[] | undefined): Mark | undefined {
  if (!crops || crops.length === 0) return undefined;
  const names = crops.map((crop) => crop.kind);
  return { value: names.join(', '), step: stepOf('crops', crops.length), words: names.join(', ') };
}

function soilMark(soil: SoilWeek | undefined, unit: TemperatureUnit): Mark | undefined {
  if (!soil) return undefined;
  return {
    value: degreesIn(soil.mean, unit),
    step: stepOf('soil', soil.mean),
    words: soilWords(soil, unit),
  };
}

export function soilWords(soil: SoilWeek, unit: TemperatureUnit): string {
  const [mean, low, high] = [soil.mean, soil.low, soil.high].map((value) => degreesIn(value, unit));
  const fill = {
    mean: mean ?? '',
    low: low ?? '',
    high: high ?? '',
    n: soil.n,
    unit: t(`forms.unit_${unit}`),
  };
  return soil.n === 1 ? t('sketch.soil_one', fill) : t('sketch.soil_mean', fill);
}
