/** The validity of a lift in words. */
import { decimals, t } from '../../text';
import { inUnit, type Quantity, type TemperatureUnit } from '../readings/model';
import type { Reason, Validity } from './model';

export function reasonWords(reasons: readonly Reason[]): string {
  return reasons.map((reason) => t(`traps.why_${reason}`)).join(', ');
}

export function validityWords(validity: Validity, soil: Quantity | undefined, unit: TemperatureUnit): string {
  if (validity.valid === true && soil) {
    const shown = `${decimals(inUnit(soil, unit))} ${t(`forms.unit_${unit}`)}`;
    return t('traps.valid', { n: validity.days ?? 0, soil: shown });
  }
  const why = reasonWords(validity.reasons);
  return validity.valid === false ? t('traps.not_valid', { why }) : t('traps.unknown', { why });
}
