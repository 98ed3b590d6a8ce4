/**
 * How moist is the air, where would dew form, and how cold is a wet surface?
 *
 * Saturation vapour pressure over water by WMO No. 8, annex 4.B (Magnus, constants from memory) or FAO-56
 * equation 11 (Tetens). The wet bulb is the root of the psychrometer equation e = e(Tw) - A p (T - Tw), not a
 * fitted formula: those err by half a degree near freezing, where it matters. A: FAO-56 equation 8 (0.000665)
 * or, for an instrument, 0.000662 ventilated and 0.0008 natural.
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
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

const MAGNUS = { wmo: [0.6112, 17.62, 243.12], fao56: [0.6108, 17.27, 237.3] } as const;
const PSYCHROMETER = { ventilated: 0.000662, natural: 0.0008 } as const;
const PSYCHROMETRIC_CONSTANT = 0.000665;

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

/** The temperature that satisfies the psychrometer equation, whose left side rises throughout: one root. */
function wetBulb(magnus: Magnus, slope: number, vapour: number, air: number): number {
  const f = (tw: number) => saturation(magnus, tw) - slope * (air - tw) - vapour;
  return f(air) <= 0 ? air : findRoot(f, Math.max(-150, air - saturation(magnus, air) / slope), air);
}

export function humidity(input: HumidityIn): Humidity {
  const v = read(input, {
    air_c: number({ min: -60, max: 70 }),
    rh_percent: maybe(number({ above: 0, max: 100 })),
    dew_c: maybe(number({ min: -100, max: 70 })),
    wet_c: maybe(number({ min: -60, max: 70 })),
    pressure_kpa: or(number({ min: 30, max: 120 }), 101.325),
    formula: or(choice('wmo', 'fao56'), 'wmo' as const),
    psychrometer: maybe(choice('ventilated', 'natural')),
  });
  const magnus = MAGNUS[v.formula];
  const slope = (v.psychrometer ? PSYCHROMETER[v.psychrometer] : PSYCHROMETRIC_CONSTANT) * v.pressure_kpa;
  const full = saturation(magnus, v.air_c);
  const vapour = vapourPressure(v, magnus, slope, full);
  const dew = v.dew_c ?? dewPoint(magnus, vapour);
  return {
    rh_percent: v.rh_percent ?? (100 * vapour) / full,
    dew_c: dew,
    wet_bulb_c: v.wet_c ?? wetBulb(magnus, slope, vapour, v.air_c),
    vapour_kpa: vapour,
    saturation_kpa: full,
    deficit_kpa: full - vapour,
    why_not: [],
    cautions: cautions(v.air_c, dew, v.wet_c),
    method: `${v.formula} over water; psychrometer ${v.psychrometer ?? 'constant (0.000665 p)'}`,
    source: 'WMO No. 8, annex 4.B (from memory); FAO-56 eq. 8, 11, 14, 15',
  };
}

type Given = {
  air_c: number;
  rh_percent?: number | undefined;
  dew_c?: number | undefined;
  wet_c?: number | undefined;
};

function vapourPressure(v: Given, magnus: Magnus, slope: number, full: number): number {
  const given = (['rh_percent', 'dew_c', 'wet_c'] as const).filter((key) => v[key] !== undefined);
  if (given.length !== 1) {
    throw new InputFault(`/${given[1] ?? 'rh_percent'}`, 'Give exactly one of rh_percent, dew_c and wet_c.');
  }
  for (const key of ['dew_c', 'wet_c'] as const) {
    if ((v[key] ?? v.air_c) > v.air_c)
      throw new InputFault(`/${key}`, 'This is above the air temperature; check both.');
  }
  if (v.dew_c !== undefined) return saturation(magnus, v.dew_c);
  if (v.wet_c === undefined) return (full * (v.rh_percent ?? 0)) / 100;
  const vapour = saturation(magnus, v.wet_c) - slope * (v.air_c - v.wet_c);
  if (vapour <= 0) {
    throw new InputFault(
      '/wet_c',
      'Even dry air would not cool the wet bulb so far; check the wick and both.',
    );
  }
  return vapour;
}

function cautions(air: number, dew: number, wet: number | undefined): string[] {
  const said: string[] = [];
  if (dew < -45 || air > 60) said.push('Outside -45 to 60 °C, for which the formula was made.');
  if (wet !== undefined && wet < 0) said.push('Below 0 °C the wick may carry ice; this takes it as water.');
  else if (dew < 0) {
    said.push('Below 0 °C this is the dew point over water; frost forms at a slightly higher temperature.');
  }
  return said;
}
