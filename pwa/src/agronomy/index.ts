/**
 * Front door of the calculations on the phone: pure functions, no network, no clock, no records.
 *
 * Each takes the object that `underboard calc NAME` takes and returns its answer; `fixtures/vectors/` holds
 * both sides to the same numbers. Nonsense throws an InputFault; too little to say is a null with `why_not`.
 */
export { type CountSummaryIn, countSummary } from './count_summary';
export { InputFault } from './input';
export { type PoissonInterval, type PoissonIntervalIn, poissonInterval } from './poisson_interval';
export { type StopLine, type StopLineIn, stopLine } from './stop_line';
