import { t } from '../../text';
import type { Side, Unit } from './model';
import { sideWords } from './words';

/** Planks of both sides: filled for treated, bare for untreated; the words say it too. */
export function Sides({ units, blocked }: { units: readonly Unit[]; blocked: boolean }) {
  return (
    <div class="trial-sides">
      {(['treated', 'control'] as const).map((side) => (
        <SideList
          key={side}
          side={side}
          units={units.filter((unit) => unit.side === side)}
          blocked={blocked}
        />
      ))}
    </div>
  );
}

function SideList({ side, units, blocked }: { side: Side; units: readonly Unit[]; blocked: boolean }) {
  const boards = units.flatMap((unit) => unit.boards).length;
  return (
    <section aria-label={sideWords(side)}>
      <h3 class="trial-side">
        <SideMark side={side} /> {sideWords(side)}
      </h3>
      <p class="soft small">{t('trials.n_boards', { n: boards })}</p>
      <ul>
        {units.map((unit) => (
          <li key={unit.id} class={`trial-unit trial-unit-${side}`}>
            <span>{unit.label || t('trials.gone')}</span>
            {blocked && unit.block !== undefined && (
              <span class="soft small">{t('trials.block', { block: unit.block })}</span>
            )}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** A plank with a drop on it, and a bare one: told apart by shape, not by colour. */
export function SideMark({ side }: { side: Side }) {
  return (
    <svg class={`side-mark side-${side}`} viewBox="0 0 24 24" aria-hidden="true" focusable="false">
      <rect x="2" y="14" width="20" height="6" rx="1.5" />
      {side === 'treated' && (
        <path d="M12 2c3 4 4.500 5.500 4.500 7.500a4.500 4.500 0 0 1-9 0C7.500 7.500 9 6 12 2z" />
      )}
    </svg>
  );
}
