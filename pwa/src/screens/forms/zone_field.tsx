import { SelectField } from '../../parts';
import { t } from '../../text';

/** The phone's own list of time zones, with the chosen one even where the phone does not know it. */
export function ZoneField({ value, onChoose }: { value: string; onChoose: (zone: string) => void }) {
  const known = 'supportedValuesOf' in Intl ? Intl.supportedValuesOf('timeZone') : [];
  const zones = [...new Set([value, ...known])].filter(Boolean);
  return (
    <SelectField
      label={t('first_run.time_zone')}
      value={value}
      choices={zones.map((zone) => ({ value: zone, label: zone.replaceAll('_', ' ') }))}
      onChoose={onChoose}
    />
  );
}
