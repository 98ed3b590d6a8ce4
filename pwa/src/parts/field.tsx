import type { ComponentChildren, JSX } from 'preact';
import { useId } from 'preact/hooks';
import { decimalPoint } from '../text';
import { Icon } from './icons';

type FieldProps = {
  label: string;
  hint?: string;
  /** One plain sentence with the fix; shown and read aloud. */
  error?: string | undefined;
  children: (ids: {
    id: string;
    'aria-describedby': string | undefined;
    'aria-invalid': boolean;
  }) => ComponentChildren;
};

/** A label, its control, a hint and an error, tied together for a screen reader. */
export function Field({ label, hint, error, children }: FieldProps) {
  const id = useId();
  const told = [hint ? `${id}-hint` : '', error ? `${id}-error` : ''].filter(Boolean).join(' ');
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {children({ id, 'aria-describedby': told || undefined, 'aria-invalid': Boolean(error) })}
      {hint && (
        <p id={`${id}-hint`} class="soft small">
          {hint}
        </p>
      )}
      {error && (
        <p id={`${id}-error`} class="field-error" role="alert">
          <Icon name="caution" />
          {error}
        </p>
      )}
    </div>
  );
}

type TextFieldProps = {
  label: string;
  hint?: string;
  error?: string | undefined;
  value: string;
  onText: (text: string) => void;
  /** `datetime-local`, `date`, `password`… text when left out. */
  type?: 'text' | 'date' | 'time' | 'datetime-local' | 'password' | 'search' | 'email';
  inputMode?: 'text' | 'decimal' | 'numeric' | 'email';
  autocomplete?: 'off' | 'name' | 'one-time-code' | 'email';
  placeholder?: string;
  maxLength?: number;
  required?: boolean;
};

export function TextField({ label, hint, error, value, onText, ...rest }: TextFieldProps) {
  return (
    <Field label={label} {...(hint ? { hint } : {})} error={error}>
      {(ids) => (
        <input
          {...(rest as JSX.IntrinsicElements['input'])}
          {...ids}
          class="input"
          // A number that came from a record has a point; whoever reads it writes numbers as the language does.
          value={rest.inputMode === 'decimal' ? value.replace('.', decimalPoint()) : value}
          onInput={(event) => onText(event.currentTarget.value)}
        />
      )}
    </Field>
  );
}

export function LongTextField({
  label,
  hint,
  value,
  onText,
}: {
  label: string;
  hint?: string;
  value: string;
  onText: (text: string) => void;
}) {
  return (
    <Field label={label} {...(hint ? { hint } : {})}>
      {(ids) => (
        <textarea
          {...ids}
          class="input"
          rows={3}
          value={value}
          onInput={(event) => onText(event.currentTarget.value)}
        />
      )}
    </Field>
  );
}

export type Choice<V extends string> = { value: V; label: string };

export function SelectField<V extends string>(props: {
  label: string;
  hint?: string;
  value: V;
  choices: readonly Choice<V>[];
  onChoose: (value: V) => void;
}) {
  return (
    <Field label={props.label} {...(props.hint ? { hint: props.hint } : {})}>
      {(ids) => (
        <select
          {...ids}
          class="input"
          value={props.value}
          onChange={(event) => props.onChoose(event.currentTarget.value as V)}
        >
          {props.choices.map((choice) => (
            <option key={choice.value} value={choice.value}>
              {choice.label}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}

/** A yes-or-no that takes effect at once. */
export function Toggle({
  label,
  hint,
  on,
  onChange,
}: {
  label: string;
  hint?: string;
  on: boolean;
  onChange: (on: boolean) => void;
}) {
  const id = useId();
  return (
    <label class="toggle" for={id}>
      <input
        id={id}
        type="checkbox"
        role="switch"
        aria-checked={on}
        checked={on}
        onChange={(event) => onChange(event.currentTarget.checked)}
      />
      <span class="toggle-track" aria-hidden="true" />
      <span class="grow">
        {label}
        {hint && <span class="toggle-hint soft small">{hint}</span>}
      </span>
    </label>
  );
}
