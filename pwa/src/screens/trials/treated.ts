/** Which treatment of the diary belongs to a trial. Pure. */
import { daysBetween } from '../forms/local_time';
import type { OtherTreatment } from './flaws';
import type { Trial } from './model';

/** A treatment so many days off the planned one is another. */
const OFF_DAYS = 14;

/** Treatments of the trial's kind, near its day, on all its treated places; the nearest first. */
export function candidatesOf(trial: Trial, treatments: readonly OtherTreatment[]): OtherTreatment[] {
  const treatOn = trial.treat_on ?? trial.before_to;
  const treated = trial.treated_ids ?? [];
  if (treatOn === undefined || treated.length === 0 || (trial.treatment_ids?.length ?? 0) > 0) return [];
  const off = ({ day }: OtherTreatment) => Math.abs(daysBetween(treatOn, day));
  return treatments
    .filter((one) => one.kind === trial.kind && off(one) <= OFF_DAYS)
    .filter(({ place_ids }) => treated.every((id) => place_ids.includes(id)))
    .sort((a, b) => off(a) - off(b));
}
