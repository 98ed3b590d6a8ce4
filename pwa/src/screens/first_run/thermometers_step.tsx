import { Button, Card, IconButton, Segmented, SelectField, TextField } from '../../parts';
import { newId } from '../../storage';
import { t } from '../../text';
import { addThermometer, type Exposure, type ThermometerDraft } from './model';
import { faultWords, type StepProps } from './step';

const EXPOSURES: readonly Exposure[] = ['screen', 'under_cover', 'soil'];

export function ThermometersStep({ draft, change, faults }: StepProps) {
  const names: Record<Exposure, string> = {
    screen: t('first_run.thermometer_screen'),
    under_cover: t('first_run.thermometer_under_cover'),
    soil: t('first_run.thermometer_soil'),
  };
  return (
    <>
      <p>{t('first_run.thermometers_text')}</p>
      <div class="add-row">
        {EXPOSURES.map((exposure) => (
          <Button
            key={exposure}
            icon="plus"
            onClick={() => change((now) => addThermometer(now, exposure, names, newId))}
          >
            {t(`first_run.add_${exposure}`)}
          </Button>
        ))}
      </div>
      {draft.thermometers.map((thermometer) => (
        <Thermometer
          key={thermometer.id}
          thermometer={thermometer}
          draft={draft}
          change={change}
          faults={faults}
        />
      ))}
      <Card>
        <Segmented
          label={t('first_run.habit')}
          value={draft.reading_habit}
          choices={[
            { value: 'morning', label: t('first_run.habit_morning') },
            { value: 'evening', label: t('first_run.habit_evening') },
          ]}
          onChoose={(reading_habit) => change({ reading_habit })}
        />
        <p class="soft small">{t('first_run.habit_hint')}</p>
      </Card>
    </>
  );
}

function Thermometer({ thermometer, draft, change, faults }: StepProps & { thermometer: ThermometerDraft }) {
  const edit = (next: Partial<ThermometerDraft>) =>
    change((now) => ({
      ...now,
      thermometers: now.thermometers.map((other) =>
        other.id === thermometer.id ? { ...other, ...next } : other,
      ),
    }));
  const remove = () =>
    change((now) => ({
      ...now,
      thermometers: now.thermometers.filter((other) => other.id !== thermometer.id),
    }));
  const wrong =
    faultWords(faults, 'thermometer_label', thermometer.id) ?? faultWords(faults, 'depth', thermometer.id);
  return (
    <Card
      title={t(`forms.exposure_${thermometer.exposure}`)}
      icon="thermometer"
      aside={
        <IconButton
          icon="close"
          label={t('first_run.remove', { label: thermometer.label })}
          onClick={remove}
        />
      }
    >
      <div class="pair-grid">
        <TextField
          label={t('first_run.label')}
          maxLength={80}
          value={thermometer.label}
          onText={(label) => edit({ label })}
        />
        <SelectField
          label={t('first_run.place')}
          value={thermometer.place_id}
          choices={[
            { value: '', label: t('forms.no_place') },
            ...draft.places.map((place) => ({ value: place.id, label: place.label })),
          ]}
          onChoose={(place_id) => edit({ place_id })}
        />
      </div>
      {thermometer.exposure === 'soil' && (
        <TextField
          label={t('first_run.depth')}
          inputMode="decimal"
          value={thermometer.depth_cm}
          onText={(depth_cm) => edit({ depth_cm })}
        />
      )}
      {wrong && (
        <p class="field-error" role="alert">
          {wrong}
        </p>
      )}
    </Card>
  );
}
