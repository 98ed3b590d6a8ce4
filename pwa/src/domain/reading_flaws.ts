/** What is doubtful about a thermometer reading: the server's judgement (core/records/derived.py), so that both leave out the same. */

/** No thermometer in the open, under a cover or in the soil of a garden is outside these [°C]. */
const AIR_C = { low: -35, high: 60 };
const SOIL_C = { low: -15, high: 45 };
/** The scales of one thermometer may disagree by so much [°C]. */
const SLACK_C = 1;

export type ReadingFlaw = 'out_of_range' | 'max_below_min' | 'current_above_max' | 'current_below_min';
/** What it shows, calibration added [°C]; undefined is not read. */
export interface Shown {
  current_c: number | undefined;
  max_c: number | undefined;
  min_c: number | undefined;
}

export function readingFlaws({ current_c, max_c, min_c }: Shown, soil = false): ReadingFlaw[] {
  const { low, high } = soil ? SOIL_C : AIR_C;
  const flaws: ReadingFlaw[] = [];
  const outside = (value: number | undefined) => value !== undefined && !(value >= low && value <= high);
  if ([current_c, max_c, min_c].some(outside)) flaws.push('out_of_range');
  if (max_c !== undefined && min_c !== undefined && max_c < min_c) flaws.push('max_below_min');
  if (current_c !== undefined && max_c !== undefined && current_c > max_c + SLACK_C)
    flaws.push('current_above_max');
  if (current_c !== undefined && min_c !== undefined && current_c < min_c - SLACK_C)
    flaws.push('current_below_min');
  return flaws;
}
