import { useState } from 'preact/hooks';
import { Button, ButtonLink, LongTextField, SelectField, Sheet, TextField } from '../../parts';
import { t } from '../../text';
import { localDay } from '../forms/local_time';
import { PickPlaces } from '../forms/pick_places';
import type { PlotFacts } from '../forms/plot_facts';
import { shownOf, useDraft } from '../forms/use_draft';
import { kept, saveChange, saveNew } from '../forms/write';
import type { PlaceRow, PlotData } from './index';
import {
  type FormFault,
  isRetired,
  NEIGHBOURS,
  PLACE_KINDS,
  type PlaceForm,
  placeFaults,
  placeForm,
  placeSet,
} from './model';
import { sizeFollows } from './sketch/gestures';

type Props = { place: PlaceRow | undefined; data: PlotData; facts: PlotFacts; onClose: () => void };

export function PlaceSheet({ place, data, facts, onClose }: Props) {
  const draft = useDraft<PlaceForm>(`place:${place?.id ?? 'new'}`, placeForm(place), shownOf(place));
  const [tried, setTried] = useState(false);
  const [busy, setBusy] = useState(false);
  const form = draft.value;
  const seen = place && ((draft.shown?.body ?? place) as PlaceRow);
  const today = localDay(new Date(), facts.time_zone);
  const others = data.places.filter((other) => other.id !== place?.id && !other.archived);
  const faults = placeFaults(form, others, Number(today.slice(0, 4)));
  const said = (fault: FormFault) => (tried && faults.includes(fault) ? t(`plot.fault_${fault}`) : undefined);
  const store = async (set: Record<string, unknown>) => {
    setBusy(true);
    const done = await kept(() =>
      place ? saveChange('place', place.id, set, draft.shown) : saveNew('place', set),
    );
    setBusy(false);
    if (!done) return;
    await draft.clear();
    onClose();
  };
  const live = data.stations.some((station) => station.place_id === place?.id && !isRetired(station, today));
  return (
    <Sheet
      title={place ? t('plot.edit_place', { label: place.label ?? '' }) : t('plot.new_place')}
      onClose={onClose}
    >
      <SelectField
        label={t('plot.kind')}
        value={form.kind}
        choices={PLACE_KINDS.map((kind) => ({ value: kind, label: t(`forms.place_${kind}`) }))}
        onChoose={(kind) => draft.change({ kind })}
      />
      <TextField
        label={t('plot.label')}
        error={said('label') ?? said('label_taken')}
        maxLength={80}
        value={form.label}
        onText={(label) => draft.change({ label })}
      />
      <div class="pair-grid">
        <TextField
          label={t('plot.length')}
          inputMode="decimal"
          error={said('length')}
          value={form.length}
          onText={(length) => draft.change({ length })}
        />
        <TextField
          label={t('plot.width')}
          inputMode="decimal"
          error={said('width')}
          value={form.width}
          onText={(width) => draft.change({ width })}
        />
      </div>
      <TextField
        label={t('plot.broken_year')}
        hint={t('plot.broken_hint')}
        inputMode="numeric"
        error={said('broken_year')}
        value={form.broken_year}
        onText={(broken_year) => draft.change({ broken_year })}
      />
      <PickPlaces
        label={t('plot.neighbours')}
        places={NEIGHBOURS.map((id) => ({ id, label: t(`plot.neighbour_${id}`) }))}
        chosen={form.neighbours}
        onChange={(neighbours) => draft.change({ neighbours })}
      />
      <LongTextField label={t('forms.note')} value={form.note} onText={(note) => draft.change({ note })} />
      <Button
        kind="main"
        wide
        disabled={busy}
        onClick={() =>
          faults.length > 0 ? setTried(true) : void store(sizeFollows(place, placeSet(form, seen)))
        }
      >
        {t('plot.save')}
      </Button>
      {place && (
        <>
          <ButtonLink icon="camera" to={`/photos/of/${place.id}`}>
            {t('photos.link')}
          </ButtonLink>
          <Button
            kind={place.archived ? 'plain' : 'bad'}
            disabled={busy || live}
            onClick={() => void store({ archived: !place.archived })}
          >
            {place.archived ? t('plot.unarchive') : t('plot.archive')}
          </Button>
          {live && !place.archived && <p class="soft small">{t('plot.archive_first')}</p>}
        </>
      )}
    </Sheet>
  );
}
