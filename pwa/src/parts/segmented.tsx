import { useId } from 'preact/hooks';
import type { Choice } from './field';

type SegmentedProps<V extends string> = {
  label: string;
  /** Undefined: nothing chosen yet, which is not the same as the first choice. */
  value: V | undefined;
  choices: readonly Choice<V>[];
  onChoose: (value: V) => void;
  hideLabel?: boolean;
};

/** Two to four choices side by side; radio buttons underneath, so arrows and screen readers work. */
export function Segmented<V extends string>({
  label,
  value,
  choices,
  onChoose,
  hideLabel,
}: SegmentedProps<V>) {
  const name = useId();
  return (
    <fieldset class="segmented">
      <legend class={hideLabel ? 'only-heard' : ''}>{label}</legend>
      <div class="segmented-row">
        {choices.map((choice) => (
          <label key={choice.value} class="segment">
            <input
              type="radio"
              name={name}
              value={choice.value}
              checked={choice.value === value}
              onChange={() => onChoose(choice.value)}
            />
            <span>{choice.label}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
