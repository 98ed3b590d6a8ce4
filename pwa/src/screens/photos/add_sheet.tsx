import { useState } from 'preact/hooks';
import { Button, SelectField, Sheet } from '../../parts';
import { saveMany } from '../../storage';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { asItem, kept } from '../forms/write';
import { byLabel } from '../plot/model';
import type { PhotoData } from './load';
import { PhotoField } from './photo_field';
import type { Taking } from './taking';

type Props = {
  data: PhotoData;
  facts: PlotFacts;
  taking: Taking;
  /** The place whose photos are looked at: most likely these are of it too. */
  placeId: string | undefined;
  onClose: () => void;
};

/** Pictures just taken: what they are of and what they show. They are on the phone already. */
export function AddSheet({ data, taking, placeId, onClose }: Props) {
  const [of, setOf] = useState(placeId ?? '');
  const [busy, setBusy] = useState(false);
  const n = taking.taken.length;
  const label = new Map(data.places.map((place) => [place.id, place.label]));
  const choices = [
    { value: '', label: t('photos.no_place') },
    ...data.places
      .filter((place) => !place.archived || place.id === placeId)
      .sort(byLabel)
      .map(({ id, label: words }) => ({ value: id, label: words })),
    ...data.crops.map((crop) => ({
      value: crop.id,
      label: t('photos.of_crop', {
        crop: crop.label,
        place: label.get(crop.place_id) ?? t('photos.no_place'),
      }),
    })),
  ];
  const save = async () => {
    setBusy(true);
    const items = taking.items(of || undefined).map(({ type, id, set }) => asItem(type, id, set));
    const done = await kept(() => saveMany(items));
    setBusy(false);
    if (!done) return;
    await taking.clear();
    onClose();
  };
  return (
    <Sheet title={t('photos.add_title')} onClose={onClose}>
      <PhotoField taking={taking} />
      <SelectField label={t('photos.add_of')} value={of} choices={choices} onChoose={setOf} />
      <p class="soft small">{t('photos.add_hint')}</p>
      {n === 0 && !taking.progress && <p class="soft">{t('photos.add_none')}</p>}
      <Button
        kind="main"
        wide
        disabled={busy || n === 0 || taking.progress !== undefined}
        onClick={() => void save()}
      >
        {t('photos.add_save', { n })}
      </Button>
    </Sheet>
  );
}
