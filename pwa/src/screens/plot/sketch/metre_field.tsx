/** A number that takes effect when it is finished (Enter, or leaving the field), not at every digit. */
import { useEffect, useState } from 'preact/hooks';
import { Field } from '../../../parts';
import { t } from '../../../text';
import { numberOf } from '../../forms/typed_number';

type Props = {
  label: string;
  /** Undefined: not known yet. */
  value: number | undefined;
  low: number;
  high: number;
  onSet: (value: number) => void;
};

export function MetreField({ label, value, low, high, onSet }: Props) {
  const shown = value === undefined ? '' : String(Math.round(value * 1000) / 1000);
  const [typed, setTyped] = useState(shown);
  useEffect(() => setTyped(shown), [shown]);
  const number = numberOf(typed);
  const wrong = typed.trim() !== '' && (number === undefined || number < low || number > high);
  const finish = () => {
    if (number !== undefined && !wrong && typed !== shown) onSet(number);
  };
  return (
    <Field label={label} error={wrong ? t('sketch_editor.fault_number', { low, high }) : undefined}>
      {(ids) => (
        <input
          {...ids}
          class="input"
          inputMode="decimal"
          autocomplete="off"
          value={typed}
          onInput={(event) => setTyped(event.currentTarget.value)}
          onBlur={finish}
          onKeyDown={(event) => event.key === 'Enter' && finish()}
        />
      )}
    </Field>
  );
}
