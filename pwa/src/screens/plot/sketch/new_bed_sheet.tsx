/** A bed drawn by its size: kind, name, length and width. */
import { useState } from 'preact/hooks';
import { Button, SelectField, Sheet, TextField } from '../../../parts';
import { t } from '../../../text';
import { numberOf } from '../../forms/typed_number';
import { useDraft } from '../../forms/use_draft';
import { PLACE_KINDS, type PlaceKind, placeFaults, placeForm } from '../model';
import { nextLabel } from './gestures';
import type { SketchPlace } from './ground';
import type { NewBed } from './steps';

type Props = {
  places: readonly SketchPlace[];
  thisYear: number;
  onDraw: (bed: NewBed) => Promise<boolean>;
  onClose: () => void;
};

export function NewBedSheet({ places, thisYear, onDraw, onClose }: Props) {
  const living = places.filter((place) => !place.archived);
  const label = nextLabel(
    living.filter((place) => place.kind === 'bed').map((place) => place.label ?? ''),
    t('forms.place_bed'),
  );
  const draft = useDraft<{ kind: PlaceKind; label: string; length: string; width: string }>(
    'sketch:new_bed',
    {
      kind: 'bed',
      label,
      length: '',
      width: '',
    },
  );
  const [tried, setTried] = useState(false);
  const form = draft.value;
  const faults = placeFaults({ ...placeForm(), ...form }, living, thisYear);
  const length = numberOf(form.length);
  const width = numberOf(form.width);
  const fault = (wrong: boolean, key: 'label' | 'label_taken' | 'length' | 'width') =>
    tried && wrong
      ? t(key === 'length' || key === 'width' ? `sketch_editor.fault_${key}` : `plot.fault_${key}`)
      : undefined;
  const draw = async () => {
    if (faults.length > 0 || !length || !width) return setTried(true);
    if (!(await onDraw({ kind: form.kind, label: form.label.trim(), length, width }))) return;
    await draft.clear();
    onClose();
  };
  return (
    <Sheet title={t('sketch_editor.new_bed')} onClose={onClose}>
      <SelectField
        label={t('plot.kind')}
        value={form.kind}
        choices={PLACE_KINDS.map((kind) => ({ value: kind, label: t(`forms.place_${kind}`) }))}
        onChoose={(kind) => draft.change({ kind })}
      />
      <TextField
        label={t('plot.label')}
        error={
          fault(faults.includes('label'), 'label') ?? fault(faults.includes('label_taken'), 'label_taken')
        }
        maxLength={80}
        value={form.label}
        onText={(text) => draft.change({ label: text })}
      />
      <div class="pair-grid">
        <TextField
          label={t('plot.length')}
          inputMode="decimal"
          error={fault(!length || faults.includes('length'), 'length')}
          value={form.length}
          onText={(text) => draft.change({ length: text })}
        />
        <TextField
          label={t('plot.width')}
          inputMode="decimal"
          error={fault(!width || faults.includes('width'), 'width')}
          value={form.width}
          onText={(text) => draft.change({ width: text })}
        />
      </div>
      <Button kind="main" wide onClick={() => void draw()}>
        {t('sketch_editor.draw')}
      </Button>
    </Sheet>
  );
}
