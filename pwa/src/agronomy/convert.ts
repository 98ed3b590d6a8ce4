/**
 * One measure in another unit. Factors are the definitions of the international yard and pound (1959), the
 * imperial gallon (4.54609 l) and the US gallon (231 cubic inches); the server uses the library pint.
 *
 * Units may be joined: kg/hectare, m**2, count/foot**2. Pint and gallon are imperial unless us_ stands before
 * them; the acre is the international one. A bare degC or degF is a reading; `difference` says that it is a
 * difference of readings.
 */
import { flag, InputFault, number, or, read, text } from './input';

export type ConvertIn = { value: number; from: string; to: string; difference?: boolean };
export type Convert = { value: number; method: string; source: string };

const FOOT = 0.3048;
const POUND = 0.45359237;
const INCH_OF_MERCURY = 3386.3886403409997; // conventional, at 32 °F

/** Dimension (length, mass, time, temperature, count) → unit → its size in SI. */
const SIZES: Record<string, Record<string, number>> = {
  '1,0,0,0': {
    'm metre meter': 1,
    'km kilometre kilometer': 1000,
    'cm centimetre centimeter': 0.01,
    'mm millimetre millimeter': 0.001,
    'inch in': FOOT / 12,
    'foot ft feet': FOOT,
    'yard yd': 3 * FOOT,
    'mile mi': 5280 * FOOT,
  },
  '2,0,0,0': {
    'hectare ha': 1e4,
    acre: 4840 * 9 * FOOT ** 2,
    'rod pole perch square_rod': 30.25 * 9 * FOOT ** 2,
    'square_yard sq_yd': 9 * FOOT ** 2,
    'square_foot sq_ft': FOOT ** 2,
    square_metre: 1,
  },
  '3,0,0,0': {
    'l liter litre': 1e-3,
    'ml milliliter millilitre': 1e-6,
    'gallon imperial_gallon': 4.54609e-3,
    'pint imperial_pint': 4.54609e-3 / 8,
    us_gallon: 231 * (FOOT / 12) ** 3,
    us_pint: (231 * (FOOT / 12) ** 3) / 8,
  },
  '0,1,0,0': {
    'kg kilogram': 1,
    'g gram': 1e-3,
    'mg milligram': 1e-6,
    'lb pound': POUND,
    'oz ounce': POUND / 16,
  },
  '0,0,1,0': { 's second': 1, 'min minute': 60, 'h hour': 3600, 'd day': 86400 },
  '1,0,-1,0': { mph: (5280 * FOOT) / 3600, 'kph km_per_hour': 1000 / 3600, 'knot kt': 1852 / 3600 },
  '-1,1,-2,0': { Pa: 1, hPa: 100, mbar: 100, millibar: 100, kPa: 1000, bar: 1e5, inHg: INCH_OF_MERCURY },
  '0,0,0,0': { 'count dimensionless': 1, percent: 0.01 },
  '0,0,0,1': { 'kelvin delta_degC': 1, delta_degF: 5 / 9 },
};

type Unit = { size: number; dimension: number[] };

const UNITS = new Map<string, Unit>();
for (const [dimension, names] of Object.entries(SIZES)) {
  for (const [words, size] of Object.entries(names)) {
    for (const name of words.split(' '))
      UNITS.set(name, { size, dimension: dimension.split(',').map(Number) });
  }
}

const ZERO_K: Record<string, [size: number, zero: number]> = {
  degC: [1, 273.15],
  degF: [5 / 9, 459.67 * (5 / 9)],
  kelvin: [1, 0],
};

/** Size and dimension of a unit such as kg/hectare or m**2. */
function parse(words: string, at: string): Unit {
  const unit: Unit = { size: 1, dimension: [0, 0, 0, 0] };
  for (const [, operator, name = '', power] of words.matchAll(/(^|[*/])([^*/]+)(?:\*\*(\d))?/g)) {
    const part = UNITS.get(name.trim().replace(/^deg/, 'delta_deg'));
    if (!part) throw new InputFault(at, `There is no unit "${name.slice(0, 40)}".`);
    const times = (operator === '/' ? -1 : 1) * Number(power ?? 1);
    unit.size *= part.size ** times;
    unit.dimension = unit.dimension.map((d, i) => d + times * (part.dimension[i] ?? 0));
  }
  return unit;
}

export function convert(input: ConvertIn): Convert {
  const v = read(input, { value: number(), from: text, to: text, difference: or(flag, false) });
  const said = { method: 'by definition of the units', source: 'international yard and pound 1959; SI' };
  const [warm, cool] = [ZERO_K[v.from], ZERO_K[v.to]];
  if (warm && cool && !v.difference) {
    // Celsius to Fahrenheit without the detour by kelvin, which would cost the last digits.
    if (v.from === v.to) return { value: v.value, ...said };
    if (v.from === 'degC' && v.to === 'degF') return { value: v.value * 1.8 + 32, ...said };
    if (v.from === 'degF' && v.to === 'degC') return { value: (v.value - 32) / 1.8, ...said };
    return { value: (v.value * warm[0] + warm[1] - cool[1]) / cool[0], ...said };
  }
  const from = parse(v.from, '/from');
  const to = parse(v.to, '/to');
  if (from.dimension.join() !== to.dimension.join()) {
    throw new InputFault('/to', `${v.from} cannot be turned into ${v.to}: they measure different things.`);
  }
  return { value: (v.value * from.size) / to.size, ...said };
}
