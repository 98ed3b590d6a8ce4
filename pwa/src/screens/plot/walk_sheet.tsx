import { IconButton, Sheet } from '../../parts';
import { type Base, list, saveMany, useLive } from '../../storage';
import { t } from '../../text';
import { known } from '../forms/known';
import { localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { shownOf } from '../forms/use_draft';
import { asItem, kept } from '../forms/write';
import { inWalkingOrder, isRetired, type Station, walkOrderChanges } from './model';

async function load() {
  const [stations, places] = await Promise.all([list('station'), list('place')]);
  return {
    boards: stations
      .map((view) => ({ ...known(view.body), id: view.id, base: view.base }) as Station & { base: Base })
      .filter((station) => station.kind === 'slug_board'),
    labelOf: new Map(places.map((place) => [place.id, place.body.label ?? ''])),
  };
}

/** The boards in walking order, one step up or down at a tap, each step saved at once. */
export function WalkSheet({ facts, onClose }: { facts: PlotFacts; onClose: () => void }) {
  const data = useLive(load, ['station', 'place']);
  const today = localDay(new Date(), facts.time_zone);
  const boards = inWalkingOrder((data?.boards ?? []).filter((board) => !isRetired(board, today)));
  const move = (id: string, by: -1 | 1) => {
    const changes = walkOrderChanges(boards, id, by);
    const shown = (of: string) => shownOf(boards.find((board) => board.id === of));
    void kept(() =>
      saveMany(changes.map(({ id: of, walk_order }) => asItem('station', of, { walk_order }, shown(of)))),
    );
  };
  return (
    <Sheet title={t('plot.walk_title')} onClose={onClose}>
      <p class="soft small">{t('plot.walk_text')}</p>
      <ol class="walk-list">
        {boards.map((board, i) => (
          <li key={board.id} class="walk-item">
            <span class="walk-number figures" aria-hidden="true">
              {i + 1}
            </span>
            <span class="grow">
              <strong>{board.label}</strong>{' '}
              <span class="soft small">{data?.labelOf.get(board.place_id ?? '')}</span>
            </span>
            <span class="turn-down">
              <IconButton
                icon="back"
                label={t('plot.up', { label: board.label ?? '' })}
                disabled={i === 0}
                onClick={() => move(board.id, -1)}
              />
            </span>
            <span class="turn-down">
              <IconButton
                icon="next"
                label={t('plot.down', { label: board.label ?? '' })}
                disabled={i === boards.length - 1}
                onClick={() => move(board.id, 1)}
              />
            </span>
          </li>
        ))}
      </ol>
    </Sheet>
  );
}
