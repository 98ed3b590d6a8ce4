import { useId } from 'preact/hooks';

type PickOneProps<V extends string> = {
  label: string;
  error?: string | undefined;
  choices: readonly { value: V; label: string }[];
  chosen: V | '';
  onChoose: (value: V) => void;
};

/** One of many, as chips that wrap; radio buttons underneath, so arrows and screen readers work. */
export function PickOne<V extends string>({ label, error, choices, chosen, onChoose }: PickOneProps<V>) {
  const id = useId();
  return (
    <fieldset class="chips" aria-describedby={error ? id : undefined}>
      <legend>{label}</legend>
      <div class="chips-row">
        {choices.map((choice) => (
          <label key={choice.value} class="chip">
            <input
              type="radio"
              name={`${id}-one`}
              checked={choice.value === chosen}
              onChange={() => onChoose(choice.value)}
            />
            <span>{choice.label}</span>
          </label>
        ))}
      </div>
      {error && (
        <p id={id} class="field-error" role="alert">
          {error}
        </p>
      )}
    </fieldset>
  );
}
