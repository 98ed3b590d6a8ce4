import { useState } from 'preact/hooks';
import { Button, Card, Segmented, TextField } from '../../parts';
import { t } from '../../text';
import { ZoneField } from '../forms/zone_field';
import { faultWords, type StepProps } from './step';

/** To about ten metres: as fine as a phone's first fix is worth. */
const PLACES = 4;

export function WhereStep({ draft, change, faults }: StepProps) {
  const [asking, setAsking] = useState<'no' | 'yes' | 'failed'>('no');
  const locate = () => {
    setAsking('yes');
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        setAsking('no');
        change({ latitude: coords.latitude.toFixed(PLACES), longitude: coords.longitude.toFixed(PLACES) });
      },
      () => setAsking('failed'),
      { timeout: 20_000, maximumAge: 600_000 },
    );
  };
  return (
    <>
      <Card>
        <TextField
          label={t('first_run.name')}
          error={faultWords(faults, 'name')}
          maxLength={120}
          value={draft.name}
          onText={(name) => change({ name })}
        />
        <ZoneField value={draft.time_zone} onChoose={(time_zone) => change({ time_zone })} />
        <Segmented
          label={t('first_run.units')}
          value={draft.temperature}
          choices={[
            { value: 'degC', label: t('forms.unit_degC') },
            { value: 'degF', label: t('forms.unit_degF') },
          ]}
          onChoose={(temperature) => change({ temperature })}
        />
      </Card>
      <Card title={t('first_run.location')}>
        <p class="soft small">{t('first_run.location_hint')}</p>
        <div class="pair-grid">
          <TextField
            label={t('first_run.latitude')}
            inputMode="text"
            error={faultWords(faults, 'latitude')}
            value={draft.latitude}
            onText={(latitude) => change({ latitude })}
          />
          <TextField
            label={t('first_run.longitude')}
            inputMode="text"
            error={faultWords(faults, 'longitude')}
            value={draft.longitude}
            onText={(longitude) => change({ longitude })}
          />
        </div>
        {'geolocation' in navigator && (
          <Button disabled={asking === 'yes'} onClick={locate}>
            {asking === 'yes' ? t('first_run.locating') : t('first_run.locate')}
          </Button>
        )}
        {asking === 'failed' && (
          <p class="small" role="status">
            {t('first_run.locate_failed')}
          </p>
        )}
      </Card>
    </>
  );
}
