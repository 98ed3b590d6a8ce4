import { useId } from 'preact/hooks';

type PickPlacesProps = {
  label: string;
  hint?: string;
  error?: string | undefined;
  places: readonly { id: string; label: string }[];
  chosen: readonly string[];
  onChange: (ids: string[]) => void;
};

/** Any number of places, as chips with a check box underneath. */
export function PickPlaces({ label, hint, error, places, chosen, onChange }: PickPlacesProps) {
  const id = useId();
  const toggle = (place: string, on: boolean) =>
    onChange(on ? [...chosen, place] : chosen.filter((other) => other !== place));
  return (
    <fieldset class="chips" aria-describedby={error ? id : undefined}>
      <legend>{label}</legend>
      {hint && <p class="soft small">{hint}</p>}
      <div class="chips-row">
        {places.map((place) => (
          <label key={place.id} class="chip">
            <input
              type="checkbox"
              checked={chosen.includes(place.id)}
              onChange={(event) => toggle(place.id, event.currentTarget.checked)}
            />
            <span>{place.label}</span>
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
