import { useState } from 'preact/hooks';
import { Button, LongTextField, Sheet, TextField } from '../../parts';
import { t } from '../../text';
import { shownOf, useDraft } from '../forms/use_draft';
import { kept, saveChange } from '../forms/write';
import type { Trial } from './model';

const DAYS = ['before_from', 'before_to', 'treat_on', 'after_from', 'after_to'] as const;
type Form = Record<'name' | 'question' | 'note' | (typeof DAYS)[number], string>;

const formOf = (trial: Trial): Form => ({
  name: trial.name ?? '',
  question: trial.question ?? '',
  note: trial.note ?? '',
  before_from: trial.before_from ?? '',
  before_to: trial.before_to ?? '',
  treat_on: trial.treat_on ?? '',
  after_from: trial.after_from ?? '',
  after_to: trial.after_to ?? '',
});

/** Name, question and days. Who is treated stays as it was drawn: a trial that is redrawn is another trial. */
export function EditSheet({ trial, onClose }: { trial: Trial; onClose: () => void }) {
  const before = formOf(trial);
  const draft = useDraft<Form>(`trial_edit:${trial.id}`, before, shownOf(trial));
  const [tried, setTried] = useState(false);
  if (!draft.ready) return null;
  const form = draft.value;
  const wrong = DAYS.some((name, i) => {
    const next = DAYS[i + 1];
    return next !== undefined && form[name] !== '' && form[next] !== '' && form[name] > form[next];
  });
  const save = async () => {
    if (form.name.trim() === '' || wrong) return setTried(true);
    const seen = formOf((draft.shown?.body as Trial | undefined) ?? trial);
    const set = Object.fromEntries(
      Object.entries(form)
        .map(([name, value]) => [name, value.trim()] as const)
        .filter(([name, value]) => value !== seen[name as keyof Form])
        .map(([name, value]) => [name, value === '' ? null : value]),
    );
    if (!(await kept(() => saveChange('trial', trial.id, set, draft.shown)))) return;
    await draft.clear();
    onClose();
  };
  return (
    <Sheet title={t('trials.edit_title')} onClose={onClose}>
      <TextField
        label={t('trials.name')}
        maxLength={120}
        error={tried && form.name.trim() === '' ? t('trials.fault_name') : undefined}
        value={form.name}
        onText={(name) => draft.change({ name })}
      />
      <LongTextField
        label={t('trials.question')}
        value={form.question}
        onText={(question) => draft.change({ question })}
      />
      {DAYS.map((name) => (
        <TextField
          key={name}
          type="date"
          label={t(`trials.${name}`)}
          value={form[name]}
          onText={(day) => draft.change({ [name]: day })}
        />
      ))}
      {tried && wrong && (
        <p class="field-error" role="alert">
          {t('trials.fault_order')}
        </p>
      )}
      <LongTextField label={t('forms.note')} value={form.note} onText={(note) => draft.change({ note })} />
      <Button kind="main" wide onClick={() => void save()}>
        {t('trials.save')}
      </Button>
    </Sheet>
  );
}
