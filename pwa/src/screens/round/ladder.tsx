import { useEffect, useRef } from 'preact/hooks';
import type { CountView, Plank } from '../../domain/round_model';
import { Icon, type IconName } from '../../parts';
import { t } from '../../text';

const FACES: Record<string, IconName | undefined> = {
  none_found: 'none',
  not_turned: 'blocked',
  spoiled: 'blocked',
};

/** The boards as planks in walking order; the open one scrolls itself into sight. */
export function Ladder(props: { planks: readonly Plank[]; open: string; onOpen: (board: string) => void }) {
  const list = useRef<HTMLOListElement>(null);
  useEffect(() => {
    list.current?.querySelector('[aria-current]')?.scrollIntoView({ block: 'center', behavior: 'smooth' });
  }, [props.open]);
  return (
    <ol class="ladder" ref={list} aria-label={t('round.ladder')}>
      {props.planks.map((plank) => (
        <li key={plank.board.id}>
          <button
            type="button"
            class={`plank plank-${plank.double ? 'double' : plank.state}`}
            aria-current={plank.board.id === props.open ? 'step' : undefined}
            onClick={() => props.onOpen(plank.board.id)}
          >
            <span class="plank-name">
              {plank.board.label}
              <span class="plank-place">{plank.board.place}</span>
            </span>
            <span class="plank-says">
              <PlankMark plank={plank} />
              <span>{plankWords(plank)}</span>
            </span>
          </button>
        </li>
      ))}
    </ol>
  );
}

function PlankMark({ plank }: { plank: Plank }) {
  const face = plank.double || plank.disputed ? 'people' : FACES[plank.state];
  return face ? <Icon name={face} /> : null;
}

export function plankWords(plank: Plank): string {
  const eggs = plank.eggs > 0 ? `, ${t('round.eggs_n', { n: plank.eggs })}` : '';
  if (plank.double) return t('round.double') + eggs;
  if (plank.state === 'counted') return t('round.counted', { n: plank.number ?? 0 }) + eggs;
  return t(`round.${plank.state}`) + eggs;
}

/** What another person saw under the same board: "Tobias: 6 slugs". */
export function otherWords(count: CountView): string {
  const state = count.body.state ?? 'not_turned';
  const what = state === 'counted' ? t('round.counted', { n: count.body.count ?? 0 }) : t(`round.${state}`);
  return t('round.also', { who: count.body.observer || t('round.someone'), what });
}
