import { Button, LongTextField, SelectField, Sheet } from '../../parts';
import { t } from '../../text';
import { localClock, localDay, momentAt } from '../forms/local_time';
import { MomentField } from '../forms/moment_field';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { kept, saveNew } from '../forms/write';

type Props = { facts: PlotFacts; places: readonly { id: string; label: string }[]; onClose: () => void };

export function NoteSheet({ facts, places, onClose }: Props) {
  const now = new Date();
  const draft = useDraft('note', {
    text: '',
    place_id: '',
    day: localDay(now, facts.time_zone),
    clock: localClock(now, facts.time_zone),
  });
  const { text, place_id, day, clock } = draft.value;
  const save = async () => {
    const set = {
      text: text.trim(),
      observed_at: momentAt(day, clock, facts.time_zone),
      observer: facts.observer,
      ...(place_id ? { place_id } : {}),
    };
    if (!(await kept(() => saveNew('note', set)))) return;
    await draft.clear();
    onClose();
  };
  return (
    <Sheet title={t('diary.note_title')} onClose={onClose}>
      <LongTextField
        label={t('diary.note_text')}
        value={text}
        onText={(words) => draft.change({ text: words })}
      />
      <SelectField
        label={t('diary.note_place')}
        value={place_id}
        choices={[
          { value: '', label: t('forms.no_place') },
          ...places.map((place) => ({ value: place.id, label: place.label })),
        ]}
        onChoose={(id) => draft.change({ place_id: id })}
      />
      <MomentField day={day} clock={clock} onChange={draft.change} />
      <Button kind="main" wide disabled={text.trim() === ''} onClick={() => void save()}>
        {t('diary.note_save')}
      </Button>
    </Sheet>
  );
}
