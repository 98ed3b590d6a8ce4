/**
 * Front door of the calculations on the phone: pure functions, no network, no clock, no records.
 *
 * Each takes the object that `underboard calc NAME` takes and returns its answer; `fixtures/vectors/` holds
 * both sides to the same numbers. Nonsense throws an InputFault; too little to say is a null with `why_not`.
 */
export { type ApplicationCheck, type ApplicationCheckIn, applicationCheck } from './application_check';
export { type Convert, type ConvertIn, convert } from './convert';
export { type CountSummary, type CountSummaryIn, countSummary } from './count_summary';
export { type CultureCount, type CultureCountIn, cultureCount } from './culture_count';
export { type DayCredit, type DayCreditIn, dayCredit } from './day_credit';
export { type DegreeDays, type DegreeDaysIn, degreeDays } from './degree_days';
export { type Density, type DensityIn, density } from './density';
export { type Emergence, type EmergenceIn, type EmergingCrop, emergence } from './emergence';
export { type FrostFit, type FrostTonight, type FrostTonightIn, frostTonight } from './frost_tonight';
export { type Humidity, type HumidityIn, humidity } from './humidity';
export { InputFault } from './input';
export { type MissChance, type MissChanceIn, missChance } from './miss_chance';
export { type NematodeDose, type NematodeDoseIn, nematodeDose } from './nematode_dose';
export { type NightCurve, type NightCurveIn, nightCurve } from './night_curve';
export { type PoissonInterval, type PoissonIntervalIn, poissonInterval } from './poisson_interval';
export { type Proportion, type ProportionIn, proportion } from './proportion';
export { type StopLine, type StopLineIn, stopLine } from './stop_line';
export { type Sun, type SunIn, sun } from './sun';
export { type Surge, type SurgeIn, surge } from './surge';
export { type TrapThumb, type TrapThumbIn, trapThumb } from './trap_thumb';
export { type TrialEffect, type TrialEffectIn, trialEffect } from './trial_effect';
export { type TrialPower, type TrialPowerIn, trialPower } from './trial_power';
