import { Button, IconButton, TextField } from '../../parts';
import { newId } from '../../storage';
import { t } from '../../text';
import { addPlaces, dropPlace, type PlaceDraft, type PlaceKind } from './model';
import { faultWords, type StepProps } from './step';

export function placeNames(): Record<PlaceKind, string> {
  return {
    bed: t('forms.place_bed'),
    tunnel: t('forms.place_tunnel'),
    frame: t('forms.place_frame'),
    open_ground: t('forms.place_open_ground'),
  };
}

const ADD: readonly { kind: PlaceKind; n: number }[] = [
  { kind: 'bed', n: 1 },
  { kind: 'bed', n: 4 },
  { kind: 'tunnel', n: 1 },
  { kind: 'frame', n: 1 },
  { kind: 'open_ground', n: 1 },
];

export function PlacesStep({ draft, change, faults }: StepProps) {
  return (
    <>
      <p>{t('first_run.places_text')}</p>
      <div class="add-row">
        {ADD.map(({ kind, n }) => (
          <Button
            key={`${kind}${n}`}
            icon="plus"
            onClick={() => change((now) => addPlaces(now, kind, placeNames(), n, newId))}
          >
            {n > 1 ? t('first_run.add_beds', { n }) : t(`first_run.add_${kind}`)}
          </Button>
        ))}
      </div>
      {faults.some((fault) => fault.key === 'no_places') && (
        <p class="field-error" role="alert">
          {t('first_run.fault_no_places')}
        </p>
      )}
      <ul class="place-rows">
        {draft.places.map((place) => (
          <PlaceRow key={place.id} place={place} change={change} faults={faults} />
        ))}
      </ul>
    </>
  );
}

function PlaceRow({ place, change, faults }: { place: PlaceDraft } & Pick<StepProps, 'change' | 'faults'>) {
  const edit = (next: Partial<PlaceDraft>) =>
    change((now) => ({
      ...now,
      places: now.places.map((other) => (other.id === place.id ? { ...other, ...next } : other)),
    }));
  const wrong = faultWords(faults, 'place_label', place.id) ?? faultWords(faults, 'place_size', place.id);
  return (
    <li class="place-row">
      <div class="place-fields">
        <TextField
          label={t('first_run.label')}
          maxLength={80}
          value={place.label}
          onText={(label) => edit({ label })}
        />
        <TextField
          label={t('first_run.length')}
          inputMode="decimal"
          value={place.length}
          onText={(length) => edit({ length })}
        />
        <TextField
          label={t('first_run.width')}
          inputMode="decimal"
          value={place.width}
          onText={(width) => edit({ width })}
        />
      </div>
      <IconButton
        icon="close"
        label={t('first_run.remove', { label: place.label })}
        onClick={() => change((now) => dropPlace(now, place.id))}
      />
      {wrong && (
        <p class="field-error place-wrong" role="alert">
          {wrong}
        </p>
      )}
    </li>
  );
}
