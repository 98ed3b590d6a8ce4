import { Button, Card, TextField } from '../../parts';
import { list, useLive } from '../../storage';
import { t } from '../../text';
import { faultWords, type StepProps } from './step';

export function WhoStep({ draft, change, faults }: StepProps) {
  const members = useLive(() => list('member'), ['member']) ?? [];
  return (
    <Card>
      <TextField
        label={t('first_run.who_label')}
        hint={t('first_run.who_hint')}
        error={faultWords(faults, 'observer')}
        autocomplete="name"
        maxLength={80}
        value={draft.observer}
        onText={(observer) => change({ observer })}
      />
      {members.length > 0 && (
        <div class="stack-tight">
          <p class="soft small">{t('first_run.who_known')}</p>
          <div class="row">
            {members.map((member) => (
              <Button
                key={member.id}
                aria-pressed={draft.observer === member.body.name}
                onClick={() => change({ observer: member.body.name ?? '' })}
              >
                {member.body.name}
              </Button>
            ))}
          </div>
        </div>
      )}
    </Card>
  );
}
