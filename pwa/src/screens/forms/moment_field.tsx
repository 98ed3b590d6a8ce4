import { TextField } from '../../parts';
import { t } from '../../text';

type MomentFieldProps = {
  day: string;
  clock: string;
  onChange: (change: { day?: string; clock?: string }) => void;
};

/** Day and time of the plot's clock, side by side, by the phone's own pickers. */
export function MomentField({ day, clock, onChange }: MomentFieldProps) {
  return (
    <div class="moment-field">
      <TextField
        label={t('forms.day')}
        type="date"
        value={day}
        onText={(text) => text && onChange({ day: text })}
      />
      <TextField
        label={t('forms.time')}
        type="time"
        value={clock}
        onText={(text) => text && onChange({ clock: text })}
      />
    </div>
  );
}
