/** The walk by taps; what was tapped is kept on the phone until it is saved. */
import { t } from '../../../text';
import { useDraft } from '../../forms/use_draft';
import type { SketchStation } from './ground';
import type { Step } from './undo';
import type { Work } from './use_work';
import { tapped, walkChanges } from './walk';

export function useWalk(stations: readonly SketchStation[], work: Work, onSaved: () => void) {
  const draft = useDraft<{ walked: string[] }>('sketch:walk', { walked: [] });
  const boards = stations.filter(
    (station) => station.kind === 'slug_board' && station.retired_on === undefined,
  );
  const walked = draft.value.walked.filter((id) => boards.some((board) => board.id === id));
  const save = async () => {
    const byId = new Map(boards.map((board) => [board.id, board]));
    const step: Step = {
      what: t('sketch_editor.did_walk'),
      changes: walkChanges(boards, walked).map(({ id, walk_order }) => ({
        type: 'station',
        id,
        before: { walk_order: byId.get(id)?.walk_order ?? null },
        after: { walk_order },
      })),
    };
    if (!(await work.act(step))) return;
    await draft.clear();
    work.say(t('sketch_editor.walk_saved'));
    onSaved();
  };
  return {
    boards,
    walked,
    tap: (id: string) => draft.change((now) => ({ walked: tapped(now.walked, id) })),
    again: () => draft.change({ walked: [] }),
    save,
  };
}
