/** The walk by taps; what was tapped is kept on the phone until it is saved. */
import { t } from '../../../text';
import { useDraft } from '../../forms/use_draft';
import type { SketchStation } from './ground';
import type { Step } from './undo';
import type { Work } from './use_work';
import { type Order, orderOf, tapped, walkSteps } from './walk';

export function useWalk(stations: readonly SketchStation[], work: Work, onSaved: () => void) {
  /** `stood`: the order as it was at the first tap, which may be days ago; another phone may have told one since. */
  const draft = useDraft<{ walked: string[]; stood: Order }>('sketch:walk', {
    walked: [],
    stood: {},
  });
  const boards = stations.filter(
    (station) => station.kind === 'slug_board' && station.retired_on === undefined,
  );
  const walked = draft.value.walked.filter((id) => boards.some((board) => board.id === id));
  const save = async () => {
    const step: Step = {
      what: t('sketch_editor.did_walk'),
      changes: walkSteps(boards, walked, draft.value.stood),
    };
    // Told that it has changed meanwhile, whoever saves once more means it.
    if (!(await work.act(step))) return draft.change({ stood: orderOf(boards) });
    await draft.clear();
    work.say(t('sketch_editor.walk_saved'));
    onSaved();
  };
  return {
    boards,
    walked,
    tap: (id: string) =>
      draft.change(({ walked: before, stood }) => ({
        walked: tapped(before, id),
        stood: before.length > 0 ? stood : orderOf(boards),
      })),
    again: () => draft.change({ walked: [], stood: {} }),
    save,
  };
}
