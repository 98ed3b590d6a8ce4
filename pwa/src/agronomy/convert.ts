/**
 * What is this in another unit?
 *
 * Factors are the definitions of the international yard and pound (1959), the imperial gallon (4.54609 l) and
 * the US gallon (231 cubic inches). As on the server, where the library pint does it: acre is the international
 * acre; pint, gallon, quart and fluid_ounce are imperial unless us_ stands before them; rod, pole and perch are
 * the allotment's measure of area, 5½ yards square. A difference of 9 °F is 5 °C, a temperature of 9 °F is not.
 */
import { flag, InputFault, number, or, read, text } from './input';

export type ConvertIn = { value: number; from: string; to: string; difference?: boolean };
export type Convert = { value: number; unit: string; method: string; source: string };

const FOOT = 0.3048;
const INCH = FOOT / 12;
const POUND = 0.45359237;
const GALLON = 4.54609e-3;
const US_GALLON = 231 * INCH ** 3;

/** Dimension (length, mass, time, temperature) → names and size in SI; a few words that growers use. */
const SIZES: Record<string, [names: string, size: number][]> = {
  '1,0,0,0': [
    ['m meter metre', 1],
    ['km', 1000],
    ['cm', 0.01],
    ['mm', 0.001],
    ['inch in', INCH],
    ['foot feet ft', FOOT],
    ['yard yards yd', 3 * FOOT],
    ['mile', 5280 * FOOT],
  ],
  '2,0,0,0': [
    ['hectare ha', 1e4],
    ['acre acres', 43560 * FOOT ** 2],
    ['rod rods pole poles perch perches', 272.25 * FOOT ** 2],
    ['sq_yd', 9 * FOOT ** 2],
    ['sq_ft', FOOT ** 2],
    ['sq_m', 1],
  ],
  '3,0,0,0': [
    ['l L liter litre', 1e-3],
    ['ml', 1e-6],
    ['gallon gallons imperial_gallon', GALLON],
    ['pint pints imperial_pint', GALLON / 8],
    ['fluid_ounce', GALLON / 160],
    ['us_gallon', US_GALLON],
    ['us_pint', US_GALLON / 8],
  ],
  '0,1,0,0': [
    ['kg', 1],
    ['g gram', 1e-3],
    ['lb pound', POUND],
    ['oz ounce', POUND / 16],
  ],
  '0,0,1,0': [
    ['s second', 1],
    ['min minute', 60],
    ['h hour', 3600],
    ['d day days', 86400],
  ],
  '1,0,-1,0': [
    ['mph', (5280 * FOOT) / 3600],
    ['knot', 1852 / 3600],
  ],
  '-1,1,-2,0': [
    ['hPa mbar', 100],
    ['kPa', 1000],
    // Conventional, at 32 °F.
    ['inHg', 3386.3886403409997],
  ],
  '0,0,0,0': [
    ['count', 1],
    ['percent', 0.01],
  ],
  '0,0,0,1': [
    ['delta_degC kelvin K', 1],
    ['delta_degF', 5 / 9],
  ],
};

type Unit = { size: number; dimension: number[] };

function find(name: string): Unit | undefined {
  for (const [dimension, rows] of Object.entries(SIZES)) {
    const row = rows.find(([names]) => names.split(' ').includes(name));
    if (row) return { size: row[1], dimension: dimension.split(',').map(Number) };
  }
  return undefined;
}

/** Temperature scales: size of a degree, and kelvin at its zero. */
const SCALES: Record<string, 'degC' | 'degF' | 'kelvin'> = {
  degC: 'degC',
  '°C': 'degC',
  celsius: 'degC',
  degF: 'degF',
  '°F': 'degF',
  fahrenheit: 'degF',
  kelvin: 'kelvin',
  K: 'kelvin',
};
const FROM_KELVIN = { degC: [1, 273.15], degF: [1.8, 459.67], kelvin: [1, 0] } as const;
const TOKEN = /\s*(?:([*/])|(?:(\*\*|\^)\s*(-?\d))|([A-Za-z_°]+)([23²³]?)|1(?=\s*\/))/y;

/** Size and dimension of a unit such as kg/hectare, square yard or m**2. */
function parse(words: string, at: string): Unit {
  const unknown = new InputFault(
    at,
    `"${words.slice(0, 60)}" is not a unit; write it like degC, m**2, square yard.`,
  );
  const spelled = words
    .trim()
    .replace(
      /\b(square|sq|cubic)[ _]+([A-Za-z]+)/g,
      (_, power, name) => `${name}**${power === 'cubic' ? 3 : 2}`,
    )
    .replace(/\*\*/g, '^');
  const factors: { unit: Unit; power: number }[] = [];
  let sign = 1;
  TOKEN.lastIndex = 0;
  while (TOKEN.lastIndex < spelled.length) {
    const found = TOKEN.exec(spelled);
    if (!found) throw unknown;
    const [, operator, , power, name, raised] = found;
    const last = factors.at(-1);
    if (operator) sign = operator === '/' ? -1 : 1;
    else if (power && last) last.power *= Number(power);
    else if (name) {
      // In a compound, as in degC*day, a degree is a difference.
      const scale = SCALES[name];
      const unit = find(scale && scale !== 'kelvin' ? `delta_${scale}` : name);
      if (!unit) throw unknown;
      factors.push({ unit, power: sign * (raised ? ('²2'.includes(raised) ? 2 : 3) : 1) });
      sign = 1;
    }
  }
  if (factors.length === 0) throw unknown;
  return {
    size: factors.reduce((product, { unit, power }) => product * unit.size ** power, 1),
    dimension: [0, 1, 2, 3].map((i) =>
      factors.reduce((sum, f) => sum + f.power * (f.unit.dimension[i] ?? 0), 0),
    ),
  };
}

function temperature(value: number, from: keyof typeof FROM_KELVIN, to: keyof typeof FROM_KELVIN): number {
  const [size, zero] = FROM_KELVIN[from];
  if (value < -zero) throw new InputFault('/value', 'This is below absolute zero.');
  if (from === to) return value;
  // Between °C and °F without the detour by kelvin, which would cost the last digits.
  if (from === 'degC' && to === 'degF') return value * 1.8 + 32;
  if (from === 'degF' && to === 'degC') return (value - 32) / 1.8;
  const [newSize, newZero] = FROM_KELVIN[to];
  return ((value + zero) / size) * newSize - newZero;
}

export function convert(input: ConvertIn): Convert {
  const v = read(input, {
    value: number({ min: -1e15, max: 1e15 }),
    from: text(),
    to: text(),
    difference: or(flag(), false),
  });
  const said = {
    unit: v.to.trim(),
    method: 'definitions of the units',
    source: 'BIPM and NIST definitions; Weights and Measures Act 1985; rod: 5½ yards square',
  };
  const [warm, cool] = [SCALES[v.from.trim()], SCALES[v.to.trim()]];
  if (warm && cool && !v.difference) return { value: temperature(v.value, warm, cool), ...said };
  const from = parse(v.from, '/from');
  const to = parse(v.to, '/to');
  if (from.dimension.join() !== to.dimension.join()) {
    throw new InputFault('/to', `"${v.from}" and "${v.to}" do not measure the same thing.`);
  }
  return { value: (v.value * from.size) / to.size, ...said };
}
