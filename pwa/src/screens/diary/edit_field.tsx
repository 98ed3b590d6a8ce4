import { Field, LongTextField, SelectField, TextField, Toggle } from '../../parts';
import { type TextKey, t } from '../../text';
import { PickPlaces } from '../forms/pick_places';
import type { Editable, FieldFault, FieldText } from './editable';
import { choiceWords } from './words';

type FieldProps = {
  type: string;
  field: Editable;
  text: FieldText;
  unit: string;
  fault: FieldFault | undefined;
  places: ReadonlyMap<string, string>;
  onText: (text: FieldText) => void;
};

/** One field of a record, with the control that fits its kind. */
export function EditField({ type, field, text, unit, fault, places, onText }: FieldProps) {
  const label = labelOf(type, field.name);
  const error = fault && faultWords(field, fault);
  if (field.kind === 'flag') return <Toggle label={label} on={text === true} onChange={onText} />;
  const words = String(text);
  if (field.kind === 'choice') {
    return (
      <SelectField
        label={label}
        value={words}
        choices={[
          ...(words === '' ? [{ value: '', label: t('diary.unset') }] : []),
          ...field.choices.map((value) => ({ value, label: choiceWords(value) })),
        ]}
        onChoose={onText}
      />
    );
  }
  if (field.kind === 'place' || field.kind === 'places')
    return <PlaceControl field={field} label={label} words={words} places={places} onText={onText} />;
  if (field.kind === 'long_text') return <LongTextField label={label} value={words} onText={onText} />;
  if (field.kind === 'moment') {
    return (
      <Field label={label} error={error}>
        {(ids) => (
          <input
            {...ids}
            class="input"
            type="datetime-local"
            value={words}
            onInput={(event) => onText(event.currentTarget.value)}
          />
        )}
      </Field>
    );
  }
  const shownUnit = unitWords(field, unit);
  return (
    <TextField
      label={shownUnit ? `${label}, ${shownUnit}` : label}
      error={error}
      type={field.kind === 'day' ? 'date' : 'text'}
      inputMode={KEYS[field.kind] ?? 'text'}
      value={words}
      onText={onText}
    />
  );
}

/** Degrees may be below nought, and a phone's number keys have no minus. */
const KEYS: Partial<Record<Editable['kind'], 'numeric' | 'decimal'>> = {
  whole: 'numeric',
  number: 'decimal',
  amount: 'decimal',
};

function unitWords(field: Editable, unit: string): string | undefined {
  if (field.kind === 'temperature') return t(`forms.unit_${unit as 'degC'}`);
  if (field.kind === 'amount') return unit;
  return 'unit' in field ? field.unit : undefined;
}

function PlaceControl(props: {
  field: Editable;
  label: string;
  words: string;
  places: ReadonlyMap<string, string>;
  onText: (text: string) => void;
}) {
  const { field, label, words, places, onText } = props;
  const all = [...places].map(([id, name]) => ({ id, label: name }));
  all.sort((a, b) => a.label.localeCompare(b.label, undefined, { numeric: true }));
  if (field.kind === 'places') {
    const chosen = words.split(' ').filter(Boolean);
    return (
      <PickPlaces label={label} places={all} chosen={chosen} onChange={(ids) => onText(ids.join(' '))} />
    );
  }
  return (
    <SelectField
      label={label}
      value={words}
      choices={[
        { value: '', label: t('forms.no_place') },
        ...all.map((place) => ({ value: place.id, label: place.label })),
      ]}
      onChoose={onText}
    />
  );
}

/** `count` is slugs but for crops, where it is pieces. */
export function labelOf(type: string, name: string): string {
  const key = (type === 'crop_event' && name === 'count' ? 'crops.count' : `diary.f_${name}`) as TextKey;
  const words = t(key);
  // A field that a newer version added has no words here yet.
  return words === key ? name.replaceAll('_', ' ') : words;
}

export function faultWords(field: Editable, fault: FieldFault): string {
  const range = 'min' in field ? { min: field.min, max: field.max } : {};
  return t(`diary.${fault}`, range);
}
