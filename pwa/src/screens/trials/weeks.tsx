import { Card, Field, IconButton, TextField } from '../../parts';
import { t } from '../../text';
import { dayWords } from '../forms/local_time';
import { windowsOf } from './model';
import { WEEKS } from './plan';
import type { PartProps } from './planner';

/** The day of the treatment, and how long is counted before and after it. */
export function Weeks({ form, said, change }: PartProps) {
  const days = /^\d{4}-\d\d-\d\d$/.test(form.treat_on)
    ? windowsOf(form.kind, form.treat_on, { before: form.weeks_before, after: form.weeks_after })
    : undefined;
  return (
    <Card title={t('trials.step_when')}>
      <TextField
        type="date"
        label={t('trials.treat_on')}
        error={said('day')}
        value={form.treat_on}
        onText={(treat_on) => change({ treat_on })}
      />
      <Stepper
        label={t('trials.weeks_before')}
        value={form.weeks_before}
        onChange={(weeks_before) => change({ weeks_before })}
      />
      <Stepper
        label={t('trials.weeks_after')}
        value={form.weeks_after}
        onChange={(weeks_after) => change({ weeks_after })}
      />
      <Stepper
        label={t('trials.rounds_a_week')}
        value={form.rounds_a_week}
        most={7}
        onChange={(rounds_a_week) => change({ rounds_a_week })}
      />
      {days && (
        <p class="soft small" role="status">
          {t('trials.plan_days', {
            from: dayWords(days.before_from),
            to: dayWords(days.before_to),
            after: dayWords(days.after_from),
            end: dayWords(days.after_to),
          })}{' '}
          {(form.kind === 'nematodes' || form.kind === 'brew') && t('trials.drench_days')}
        </p>
      )}
    </Card>
  );
}

type StepperProps = { label: string; value: number; most?: number; onChange: (value: number) => void };

function Stepper({ label, value, most = WEEKS.most, onChange }: StepperProps) {
  return (
    <Field label={label}>
      {(ids) => (
        <div class="stepper trial-stepper">
          <IconButton
            icon="minus"
            label={t('trials.one_less', { what: label })}
            disabled={value <= WEEKS.least}
            onClick={() => onChange(value - 1)}
          />
          <output id={ids.id} class="figures">
            {value}
          </output>
          <IconButton
            icon="plus"
            label={t('trials.one_more', { what: label })}
            disabled={value >= most}
            onClick={() => onChange(value + 1)}
          />
        </div>
      )}
    </Field>
  );
}
