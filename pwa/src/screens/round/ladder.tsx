import { useEffect, useRef } from 'preact/hooks';
import type { CountView, Plank } from '../../domain/round_model';
import { Icon } from '../../parts';
import { t } from '../../text';

/** The boards as planks in walking order; the open one scrolls itself into sight. */
export function Ladder(props: { planks: readonly Plank[]; open: string; onOpen: (board: string) => void }) {
  const list = useRef<HTMLOListElement>(null);
  useEffect(() => {
    if (list.current) bringToMiddle(list.current);
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
              <b>{plank.board.label}</b> <span class="plank-place">{plank.board.place}</span>
            </span>
            <PlankSays plank={plank} />
          </button>
        </li>
      ))}
    </ol>
  );
}

/** Scrolls the ladder alone, never the page; without a slide for those who asked for stillness. */
function bringToMiddle(list: HTMLOListElement): void {
  const open = list.querySelector<HTMLElement>('[aria-current]');
  if (!open) return;
  const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
  const place = open.getBoundingClientRect().top - list.getBoundingClientRect().top + list.scrollTop;
  list.scrollTo({
    top: place - (list.clientHeight - open.offsetHeight) / 2,
    behavior: still ? 'instant' : 'smooth',
  });
}

function PlankSays({ plank }: { plank: Plank }) {
  if (plank.state === 'todo' && !plank.double)
    return <span class="plank-says plank-quiet">{t('round.todo')}</span>;
  return (
    <span class="plank-says">
      {(plank.double || plank.disputed) && <Icon name="people" />}
      {plank.eggs > 0 && (
        <span class="plank-eggs">
          <Icon name="eggs" />
          <span aria-hidden="true">{plank.eggs}</span>
          <span class="only-heard">{t('round.eggs_n', { n: plank.eggs })}, </span>
        </span>
      )}
      <PlankNumber plank={plank} />
    </span>
  );
}

function PlankNumber({ plank }: { plank: Plank }) {
  if (plank.double) return <span>{t(plank.kept ? 'round.kept_both' : 'round.double')}</span>;
  if (plank.state === 'not_turned' || plank.state === 'spoiled' || plank.state === 'todo')
    return <span class="plank-quiet">{t(`round.${plank.state}`)}</span>;
  const number = plank.number ?? 0;
  return (
    <>
      <b class="plank-number" aria-hidden="true">
        {number}
      </b>
      <span class="only-heard">
        {plank.state === 'none_found' ? t('round.none_found') : t('round.counted', { n: number })}
      </span>
    </>
  );
}

/** What another person saw under the same board: "Tobias: 6 slugs". */
export function otherWords(count: CountView): string {
  const state = count.body.state ?? 'not_turned';
  const what = state === 'counted' ? t('round.counted', { n: count.body.count ?? 0 }) : t(`round.${state}`);
  return t('round.also', { who: count.body.observer || t('round.someone'), what });
}
