/**
 * How will the temperature fall through the night? A square-root curve from two hours after sunset to sunrise.
 *
 * T(h) = T2 + c √(h - 2), c = (Tmin - T2) / √(N - 2), h in hours after sunset, N from sunset to sunrise:
 * University of California, Davis, FTrend; in Snyder & de Melo-Abreu 2005, FAO, Frost protection, volume 1.
 */
import { InputFault, list, number, or, read } from './input';

export type NightCurveIn = {
  evening_c: number;
  min_c: number;
  night_hours: number;
  hours: number[];
  critical_c?: number;
};
export type NightCurve = {
  coef: number;
  points: { hour: number; air_c: number }[];
  crosses_at_hour: number | null;
  why_not: string[];
  method: string;
  source: string;
};

export function nightCurve(input: NightCurveIn): NightCurve {
  const temperature = number({ min: -100, max: 100 });
  const v = read(input, {
    evening_c: temperature,
    min_c: temperature,
    night_hours: number({ above: 2, max: 24 }),
    hours: list(number({ min: 2, max: 24 })),
    critical_c: or(temperature, 0),
  });
  v.hours.forEach((hour, i) => {
    if (hour > v.night_hours) throw new InputFault(`/hours/${i}`, 'This hour is after sunrise.');
  });
  const coef = (v.min_c - v.evening_c) / Math.sqrt(v.night_hours - 2);
  return {
    coef,
    points: v.hours.map((hour) => ({ hour, air_c: v.evening_c + coef * Math.sqrt(hour - 2) })),
    crosses_at_hour:
      v.evening_c >= v.critical_c && v.min_c <= v.critical_c && coef !== 0
        ? 2 + ((v.critical_c - v.evening_c) / coef) ** 2
        : null,
    why_not: [],
    method: 'square-root curve from two hours after sunset',
    source: 'Snyder & de Melo-Abreu 2005, FAO Frost protection vol. 1 (FTrend)',
  };
}
