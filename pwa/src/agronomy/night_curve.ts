/**
 * When in the night does it get how cold? A square-root fall from two hours after sunset to sunrise.
 *
 * T(h) = T2 + c √(h - 2), c = (Tmin - T2) / √(N - 2), h in hours after sunset, N from sunset to sunrise:
 * University of California, Davis, frost trend worksheet; Snyder & de Melo-Abreu 2005, Frost protection, FAO.
 */
import { InputFault, list, number, or, plain, read } from './input';

export type NightCurveIn = {
  evening_c: number;
  min_c: number;
  night_hours: number;
  hours?: number[];
  critical_c?: number;
};
export type NightCurve = {
  coef: number;
  points: { hour: number; air_c: number | null }[];
  crosses_at_hour: number | null;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

/** The curve starts two hours after sunset. */
const START = 2;

export function nightCurve(input: NightCurveIn): NightCurve {
  const temperature = number({ min: -100, max: 100 });
  const v = read(input, {
    evening_c: temperature,
    min_c: temperature,
    night_hours: number({ above: START, max: 24 }),
    hours: or(list(number({ min: 0, max: 24 })), []),
    critical_c: or(temperature, 0),
  });
  if (v.min_c > v.evening_c) {
    throw new InputFault('/min_c', 'The minimum is above the evening temperature.');
  }
  const coef = (v.min_c - v.evening_c) / Math.sqrt(v.night_hours - START) + 0;
  const inNight = (hour: number) => hour >= START && hour <= v.night_hours;
  const why: string[] = [];
  if (!v.hours.every(inNight)) {
    why.push(
      `The curve holds from 2 to ${plain(v.night_hours)} hours after sunset; other hours are left empty.`,
    );
  }
  let crosses: number | null = null;
  if (v.evening_c <= v.critical_c)
    why.push(`It is at or below ${plain(v.critical_c)} °C before the curve starts.`);
  else if (v.min_c > v.critical_c) why.push(`It does not come down to ${plain(v.critical_c)} °C.`);
  // At the minimum itself rounding must not carry the crossing past sunrise.
  else crosses = Math.min(v.night_hours, START + ((v.critical_c - v.evening_c) / coef) ** 2);
  return {
    coef,
    points: v.hours.map((hour) => ({
      hour,
      air_c: inNight(hour) ? v.evening_c + coef * Math.sqrt(hour - START) : null,
    })),
    crosses_at_hour: crosses,
    why_not: why,
    cautions: ['Clear, calm nights only; where dew or frost forms the fall slows.'],
    method: 'square-root fall from two hours after sunset to the minimum at sunrise',
    source: 'Snyder & de Melo-Abreu 2005, Frost protection, FAO; UC Davis frost trend worksheet',
  };
}
