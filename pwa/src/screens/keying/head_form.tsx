import { Button, Card, Segmented, TextField, Toggle } from '../../parts';
import { t } from '../../text';
import { MomentField } from '../forms/moment_field';
import type { PlotFacts } from '../forms/plot_facts';
import type { SheetKind } from '../paper/model';
import type { Keyed } from './model';

type Props = { kind: SheetKind; keyed: Keyed; facts: PlotFacts; onChange: (part: Partial<Keyed>) => void };

/** What is written at the head of the sheet. The name is never guessed: another person may have walked. */
export function HeadForm({ kind, keyed, facts, onChange }: Props) {
  const mine = facts.observer !== '' && keyed.observer.trim() === '';
  return (
    <Card title={t('keying.head')}>
      <MomentField day={keyed.day} clock={keyed.clock} onChange={onChange} />
      <TextField
        label={t('keying.observer')}
        autocomplete="off"
        maxLength={80}
        value={keyed.observer}
        onText={(observer) => onChange({ observer })}
      />
      {mine && (
        <Button kind="quiet" onClick={() => onChange({ observer: facts.observer })}>
          {t('keying.me', { who: facts.observer })}
        </Button>
      )}
      {kind === 'dawn' && (
        <>
          <Segmented
            label={t('round.surface')}
            value={keyed.surface}
            choices={(['dry', 'damp', 'wet'] as const).map((value) => ({
              value,
              label: t(`round.${value}`),
            }))}
            onChoose={(surface) => onChange({ surface })}
          />
          <TextField
            label={t('round.night_low', { unit: t(`forms.unit_${facts.unit}`) })}
            value={keyed.night_low}
            onText={(night_low) => onChange({ night_low })}
          />
          <Toggle
            label={t('round.disturbed')}
            hint={t('round.disturbed_hint')}
            on={keyed.disturbed}
            onChange={(disturbed) => onChange({ disturbed })}
          />
        </>
      )}
    </Card>
  );
}
