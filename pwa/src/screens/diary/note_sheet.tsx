import { Button, LongTextField, Sheet } from '../../parts';
import { newId } from '../../storage';
import { t } from '../../text';
import { localClock, localDay, momentAt } from '../forms/local_time';
import { MomentField } from '../forms/moment_field';
import type { PlotFacts } from '../forms/plot_facts';
import { saveTogether } from '../forms/undo';
import { useDraft } from '../forms/use_draft';
import { kept } from '../forms/write';
import { PhotoField } from '../photos/photo_field';
import { useTaking } from '../photos/taking';
import type { Pickable } from './bulk';
import { PickBeds } from './pick_beds';

type Props = { facts: PlotFacts; places: readonly Pickable[]; onClose: () => void };

/** Words about a day, about a place, or the same words about several. */
export function NoteSheet({ facts, places, onClose }: Props) {
  const now = new Date();
  const draft = useDraft('note', {
    text: '',
    place_ids: [] as string[],
    day: localDay(now, facts.time_zone),
    clock: localClock(now, facts.time_zone),
  });
  const taking = useTaking('note', facts);
  const { text, place_ids, day, clock } = draft.value;
  const n = place_ids.length;
  const save = async () => {
    const set = {
      text: text.trim(),
      observed_at: momentAt(day, clock, facts.time_zone),
      observer: facts.observer,
    };
    const wheres = n > 0 ? place_ids.map((place_id) => ({ place_id })) : [{}];
    const items = wheres.map((where) => ({ type: 'note', id: newId(), set: { ...set, ...where } }));
    const what = n > 1 ? t('bulk.entries', { n }) : t('diary.type_note');
    if (!(await kept(() => saveTogether([...items, ...taking.itemsOf(items)], t('past.did_save', { what })))))
      return;
    await draft.clear();
    await taking.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('diary.note_title')} onClose={onClose}>
      <LongTextField
        label={t('diary.note_text')}
        value={text}
        onText={(words) => draft.change({ text: words })}
      />
      <PickBeds
        label={t('diary.note_place')}
        {...(n > 1 ? { hint: t('bulk.notes_for') } : {})}
        places={places}
        chosen={place_ids}
        onChange={(ids) => draft.change({ place_ids: ids })}
      />
      <MomentField day={day} clock={clock} onChange={draft.change} />
      <PhotoField taking={taking} />
      <Button
        kind="main"
        wide
        disabled={text.trim() === '' || taking.progress !== undefined}
        onClick={() => void save()}
      >
        {n > 1 ? t('bulk.save_notes', { n }) : t('diary.note_save')}
      </Button>
    </Sheet>
  );
}
