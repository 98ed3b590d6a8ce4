/**
 * How damp is the air? Relative humidity, dew point and wet bulb from the air temperature and any one of them.
 *
 * Saturation vapour pressure by WMO No. 8 (Magnus, 17.62 / 243.12, from memory) or FAO-56 equation 11 (Tetens,
 * 17.27 / 237.3). The wet bulb is the root of the psychrometer equation e = es(Tw) - A p (T - Tw) (FAO-56
 * equation 15; A = 0.000662 ventilated, 0.000800 natural), not a fitted formula: those err by half a degree
 * near freezing, where it matters.
 */
import { choice, InputFault, maybe, number, or, read } from './input';
import { findRoot } from './special/solve';

export type HumidityIn = {
  air_c: number;
  rh_percent?: number;
  dew_c?: number;
  wet_c?: number;
  pressure_kpa?: number;
  formula?: 'wmo' | 'fao56';
  psychrometer?: 'ventilated' | 'natural';
};
export type Humidity = {
  rh_percent: number;
  dew_c: number;
  wet_bulb_c: number;
  vapour_kpa: number;
  saturation_kpa: number;
  deficit_kpa: number;
  method: string;
  source: string;
};

const MAGNUS = { wmo: [0.6112, 17.62, 243.12], fao56: [0.6108, 17.27, 237.3] } as const;
const PSYCHROMETER = { ventilated: 0.000662, natural: 0.0008 } as const;

type Magnus = readonly [scale: number, a: number, b: number];

/** Saturation vapour pressure over water in kPa. */
function saturation([scale, a, b]: Magnus, t: number): number {
  return scale * Math.exp((a * t) / (b + t));
}

/** Temperature at which this vapour pressure saturates. */
function dewPoint([scale, a, b]: Magnus, vapour: number): number {
  const g = Math.log(vapour / scale);
  return (b * g) / (a - g);
}

export function humidity(input: HumidityIn): Humidity {
  const temperature = number({ min: -45, max: 60 });
  const v = read(input, {
    air_c: temperature,
    rh_percent: maybe(number({ above: 0, max: 100 })),
    dew_c: maybe(temperature),
    wet_c: maybe(temperature),
    pressure_kpa: or(number({ min: 50, max: 110 }), 101.325),
    formula: or(choice('wmo', 'fao56'), 'wmo' as const),
    psychrometer: or(choice('ventilated', 'natural'), 'ventilated' as const),
  });
  const magnus = MAGNUS[v.formula];
  const constant = PSYCHROMETER[v.psychrometer] * v.pressure_kpa;
  const full = saturation(magnus, v.air_c);
  const vapour = vapourPressure(v, magnus, constant, full);
  const dew = v.dew_c ?? dewPoint(magnus, vapour);
  return {
    rh_percent: v.rh_percent ?? (100 * vapour) / full,
    dew_c: dew,
    wet_bulb_c: v.wet_c ?? wetBulb(magnus, constant, vapour, v.air_c),
    vapour_kpa: vapour,
    saturation_kpa: full,
    deficit_kpa: full - vapour,
    method: `${v.formula}, wet bulb by solving the psychrometer equation`,
    source: 'WMO No. 8 (from memory); FAO-56, Allen et al. 1998',
  };
}

type Given = {
  air_c: number;
  rh_percent?: number | undefined;
  dew_c?: number | undefined;
  wet_c?: number | undefined;
};

function vapourPressure(v: Given, magnus: Magnus, constant: number, full: number): number {
  const given = [v.rh_percent, v.dew_c, v.wet_c].filter((x) => x !== undefined).length;
  if (given !== 1) throw new InputFault('', 'Give one of rh_percent, dew_c and wet_c.');
  if (v.rh_percent !== undefined) return (full * v.rh_percent) / 100;
  if (v.dew_c !== undefined) {
    if (v.dew_c > v.air_c)
      throw new InputFault('/dew_c', 'The dew point cannot be above the air temperature.');
    return saturation(magnus, v.dew_c);
  }
  const wet = v.wet_c ?? 0;
  if (wet > v.air_c) throw new InputFault('/wet_c', 'The wet bulb cannot be above the air temperature.');
  const vapour = saturation(magnus, wet) - constant * (v.air_c - wet);
  if (vapour <= 0)
    throw new InputFault('/wet_c', 'So low a wet bulb is not possible at this air temperature.');
  return vapour;
}

/** Where evaporation cools a wet thermometer to: between far below the dew point and the air temperature. */
function wetBulb(magnus: Magnus, constant: number, vapour: number, air: number): number {
  const f = (tw: number) => saturation(magnus, tw) - constant * (air - tw) - vapour;
  return findRoot(f, -80, air);
}
