import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import type { PhotoData } from './load';
import type { Shot } from './model';
import { Thumb } from './picture';
import { dayOf, parentWords, placeWords } from './words';

type Props = {
  shots: readonly Shot[];
  data: PhotoData;
  facts: PlotFacts;
  states: ReadonlyMap<string, string> | undefined;
  onOpen: (shot: Shot) => void;
};

/** Small pictures in rows; each opens its photo. */
export function PhotoGrid({ shots, data, facts, states, onOpen }: Props) {
  const zone = facts.time_zone;
  return (
    <ul class="photo-grid">
      {shots.map((shot) => {
        const state = states?.get(shot.sha256);
        const what = shot.caption || placeWords(shot, data) || parentWords(shot, data) || t('photos.of_plot');
        return (
          <li key={shot.key}>
            <button type="button" class="photo-tile" onClick={() => onOpen(shot)}>
              <span class="only-heard">{t('photos.open')} </span>
              <Thumb sha256={shot.sha256} alt="" known={states} />
              <span class="photo-day small figures">{dayOf(shot, zone)}</span>
              <span class="photo-under small">{what}</span>
              {(state === 'waiting' || state === 'broken') && (
                <span class={`photo-mark photo-mark-${state}`}>{t(`photos.${state}`)}</span>
              )}
            </button>
          </li>
        );
      })}
    </ul>
  );
}
