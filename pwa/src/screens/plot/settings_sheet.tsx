import { useState } from 'preact/hooks';
import { Button, ButtonLink, Segmented, Sheet, TextField } from '../../parts';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { numberOf } from '../forms/typed_number';
import { useDraft } from '../forms/use_draft';
import { kept, saveChange } from '../forms/write';
import { ZoneField } from '../forms/zone_field';
import { changedOnly } from './model';

interface SettingsForm {
  name: string;
  time_zone: string;
  latitude: string;
  longitude: string;
  temperature: 'degC' | 'degF';
  reading_habit: 'morning' | 'evening';
}

/** What the first run asked about the plot, for changing it later. */
export function SettingsSheet({ facts, onClose }: { facts: PlotFacts; onClose: () => void }) {
  const body = facts.plot?.body ?? {};
  const begun = {
    name: body.name ?? '',
    time_zone: body.time_zone ?? facts.time_zone,
    latitude: body.latitude == null ? '' : String(body.latitude),
    longitude: body.longitude == null ? '' : String(body.longitude),
    temperature: facts.unit,
    reading_habit: facts.habit,
  };
  const draft = useDraft<SettingsForm>('plot_settings', begun, facts.plot);
  const [tried, setTried] = useState(false);
  const form = draft.value;
  const faults = settingsFaults(form);
  const said = (field: keyof SettingsForm) => (tried ? faults[field] : undefined);
  const save = async () => {
    if (Object.keys(faults).length > 0) return setTried(true);
    const set = {
      name: form.name.trim(),
      time_zone: form.time_zone,
      latitude: numberOf(form.latitude) ?? null,
      longitude: numberOf(form.longitude) ?? null,
      units: { ...body.units, temperature: form.temperature },
      reading_habit: form.reading_habit,
    };
    const id = facts.plot?.id;
    if (
      !id ||
      !(await kept(() => saveChange('plot', id, changedOnly(set, draft.shown?.body ?? body), draft.shown)))
    )
      return;
    await draft.clear();
    onClose();
  };
  return (
    <Sheet title={t('plot.settings')} onClose={onClose}>
      <TextField
        label={t('plot.name')}
        error={said('name')}
        maxLength={120}
        value={form.name}
        onText={(name) => draft.change({ name })}
      />
      <ZoneField value={form.time_zone} onChoose={(time_zone) => draft.change({ time_zone })} />
      <div class="pair-grid">
        <TextField
          label={t('first_run.latitude')}
          error={said('latitude')}
          value={form.latitude}
          onText={(latitude) => draft.change({ latitude })}
        />
        <TextField
          label={t('first_run.longitude')}
          error={said('longitude')}
          value={form.longitude}
          onText={(longitude) => draft.change({ longitude })}
        />
      </div>
      <Segmented
        label={t('plot.units')}
        value={form.temperature}
        choices={(['degC', 'degF'] as const).map((value) => ({ value, label: t(`forms.unit_${value}`) }))}
        onChoose={(temperature) => draft.change({ temperature })}
      />
      <Segmented
        label={t('plot.habit')}
        value={form.reading_habit}
        choices={(['morning', 'evening'] as const).map((value) => ({
          value,
          label: t(`plot.habit_${value}`),
        }))}
        onChoose={(reading_habit) => draft.change({ reading_habit })}
      />
      <ButtonLink wide icon="caution" to="/watch">
        {t('warnings.all_settings')}
      </ButtonLink>
      <Button kind="main" wide onClick={() => void save()}>
        {t('plot.save')}
      </Button>
    </Sheet>
  );
}

function settingsFaults(form: SettingsForm): Partial<Record<keyof SettingsForm, string>> {
  const faults: Partial<Record<keyof SettingsForm, string>> = {};
  const beyond = (text: string, limit: number) => {
    const value = numberOf(text);
    return value === undefined || Math.abs(value) > limit;
  };
  const located = form.latitude.trim() !== '' || form.longitude.trim() !== '';
  if (form.name.trim() === '') faults.name = t('plot.fault_name');
  if (located && beyond(form.latitude, 90)) faults.latitude = t('first_run.fault_latitude');
  if (located && beyond(form.longitude, 180)) faults.longitude = t('first_run.fault_longitude');
  return faults;
}
