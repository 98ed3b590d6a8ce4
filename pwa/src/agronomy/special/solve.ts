/** Root finding: monotone distribution functions, and any continuous function on a bracket. */

type Tails = { lower: number; upper: number };

/**
 * x where the wanted tail equals p, by Newton steps on the logarithm of the tail kept inside a shrinking
 * bracket (a step that leaves the bracket is replaced by halving it). Working on the logarithm keeps the
 * relative accuracy of tails as small as 1e-300.
 */
export function solveCdf(
  tails: (x: number) => Tails,
  density: (x: number) => number,
  p: number,
  tail: 'lower' | 'upper',
  from: number,
  to: number,
  start: number,
): number {
  let low = from;
  let high = to;
  let x = start;
  for (let i = 0; i < 400; i += 1) {
    const value = tails(x)[tail];
    if (value === p) return x;
    const tooHigh = tail === 'lower' ? value > p : value < p;
    if (tooHigh) high = x;
    else low = x;
    const slope = (tail === 'lower' ? density(x) : -density(x)) / value;
    let next = x - Math.log(value / p) / slope;
    if (!(next > low && next < high))
      next = high === Infinity ? low * 2 : low === 0 ? high / 8 : (low + high) / 2;
    if (Math.abs(next - x) <= 2e-16 * Math.abs(x)) return next;
    x = next;
  }
  return x;
}

/**
 * Root of f between a and b, where f(a) and f(b) have opposite signs: regula falsi with the Illinois weight,
 * falling back to halving. Converges to the last bit or to `steps`.
 */
export function findRoot(f: (x: number) => number, a: number, b: number, steps = 200): number {
  let [x0, x1] = [a, b];
  let [f0, f1] = [f(x0), f(x1)];
  if (f0 === 0) return x0;
  if (f1 === 0) return x1;
  for (let i = 0; i < steps; i += 1) {
    const width = Math.abs(x1 - x0);
    if (width <= 4e-16 * Math.max(Math.abs(x0), Math.abs(x1))) break;
    let x = i % 3 === 2 ? (x0 + x1) / 2 : x1 - (f1 * (x1 - x0)) / (f1 - f0);
    if (!(x > Math.min(x0, x1) && x < Math.max(x0, x1))) x = (x0 + x1) / 2;
    if (x === x0 || x === x1) break;
    const fx = f(x);
    if (fx === 0) return x;
    if (fx < 0 === f1 < 0) {
      f0 /= 2;
    } else {
      x0 = x1;
      f0 = f1;
    }
    x1 = x;
    f1 = fx;
  }
  return x1;
}
