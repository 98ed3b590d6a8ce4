import { useRef, useState } from 'preact/hooks';
import { numberOn } from '../../domain/double_counts';
import type { Plank, Tap } from '../../domain/round_model';
import { Button, Caution, Icon, Notice, Sheet } from '../../parts';
import { hand } from '../../parts/hand';
import { pictureOf } from '../../parts/picture';
import { PhotoRefused, savePhoto } from '../../storage';
import { t } from '../../text';
import { otherWords } from './ladder';

interface Props {
  plank: Plank;
  canUndo: boolean;
  last: boolean;
  onTap: (tap: Tap, moveOn: boolean) => void;
  onUndo: () => void;
  onNext: () => void;
}

const REASONS: readonly {
  words: 'why_covered' | 'why_moved' | 'why_frozen' | 'why_flooded';
  state: 'not_turned' | 'spoiled';
}[] = [
  { words: 'why_covered', state: 'not_turned' },
  { words: 'why_frozen', state: 'not_turned' },
  { words: 'why_moved', state: 'spoiled' },
  { words: 'why_flooded', state: 'spoiled' },
];

/** The open board: its number in figures to be read at arm's length, and keys as wide as a thumb reaches. */
export function Pad({ plank, canUndo, last, onTap, onUndo, onNext }: Props) {
  const [asking, setAsking] = useState(false);
  const own = plank.mine?.body;
  const number = numberOn(own ?? {});
  return (
    <section class={`turned turned-${hand.value}`} aria-label={plank.board.label}>
      <div class="turned-head">
        <h2>
          {plank.board.label} <span class="soft">{plank.board.place}</span>
        </h2>
        {plank.others.map((other) => (
          <p key={other.id} class="turned-other">
            <Icon name="people" /> {otherWords(other)}
          </p>
        ))}
      </div>
      <output class="turned-number figures" aria-live="polite" data-saved={own?.state ?? 'todo'}>
        {number ?? (own?.state ? <Icon name="blocked" /> : '–')}
        <span class="turned-state">{stateWords(plank)}</span>
      </output>
      <div class="turned-keys">
        <button
          type="button"
          class="key key-minus"
          aria-label={t('round.minus')}
          disabled={!number}
          onClick={() => onTap({ kind: 'minus' }, false)}
        >
          −1
        </button>
        <button
          type="button"
          class="key key-plus"
          aria-label={t('round.plus')}
          onClick={() => onTap({ kind: 'plus' }, false)}
        >
          +1
        </button>
      </div>
      <div class="turned-row">
        <Button icon="none" onClick={() => onTap({ kind: 'none' }, true)}>
          {t('round.none_here')}
        </Button>
        <Button icon="blocked" onClick={() => setAsking(true)}>
          {t('round.could_not')}
        </Button>
      </div>
      <div class="turned-row turned-small">
        <Button icon="undo" disabled={!canUndo} onClick={onUndo}>
          {t('round.undo')}
        </Button>
        <Button icon="eggs" onClick={() => onTap({ kind: 'eggs', by: 1 }, false)}>
          {t('round.eggs')}
        </Button>
        <PhotoKey plank={plank} onTap={onTap} />
      </div>
      <Button kind="main" icon={last ? 'tick' : 'next'} wide onClick={onNext}>
        {last ? t('round.finish') : t('round.next')}
      </Button>
      {asking && (
        <Sheet title={t('round.why_title', { board: plank.board.label })} onClose={() => setAsking(false)}>
          <Button
            kind="main"
            wide
            onClick={() => {
              setAsking(false);
              onTap({ kind: 'not_turned' }, true);
            }}
          >
            {t('round.why_plain')}
          </Button>
          {REASONS.map(({ words, state }) => (
            <Button
              key={words}
              wide
              onClick={() => {
                setAsking(false);
                onTap({ kind: state, reason: t(`round.${words}`) }, true);
              }}
            >
              {t(`round.${words}`)}
            </Button>
          ))}
          <p class="soft small">{t('round.spoiled_hint')}</p>
          <Caution>{t('round.caution')}</Caution>
        </Sheet>
      )}
    </section>
  );
}

function stateWords(plank: Plank): string {
  const own = plank.mine?.body;
  const eggs = own?.egg_clusters ? t('round.eggs_n', { n: own.egg_clusters }) : '';
  const photos = own?.photos?.length ? t('round.photos_n', { n: own.photos.length }) : '';
  const state = own?.state ? (own.state === 'counted' ? '' : t(`round.${own.state}`)) : t('round.todo');
  const disputed = plank.disputed ? t('round.disputed') : '';
  return [state, eggs, photos, disputed].filter(Boolean).join(' · ');
}

/** The phone's own camera; the picture is made small and loses what the camera wrote into it. */
function PhotoKey({ plank, onTap }: { plank: Plank; onTap: Props['onTap'] }) {
  const input = useRef<HTMLInputElement>(null);
  const [trouble, setTrouble] = useState('');
  const take = async (file: File | undefined): Promise<void> => {
    if (!file) return;
    try {
      const picture = await pictureOf(file);
      const sha256 = await savePhoto(picture.bytes, {
        mime: 'image/jpeg',
        taken_at: new Date().toISOString(),
        width: picture.width,
        height: picture.height,
      });
      setTrouble('');
      onTap({ kind: 'photo', sha256, bytes: picture.bytes.byteLength }, false);
    } catch (fault) {
      setTrouble(fault instanceof PhotoRefused ? fault.message : t('round.photo_failed'));
    }
  };
  return (
    <>
      <Button icon="camera" disabled={!plank.mine} onClick={() => input.current?.click()}>
        {t('round.photo')}
      </Button>
      <input
        ref={input}
        type="file"
        accept="image/*"
        capture="environment"
        class="only-heard"
        tabIndex={-1}
        aria-label={t('round.photo')}
        onChange={(event) => {
          void take(event.currentTarget.files?.[0]);
          event.currentTarget.value = '';
        }}
      />
      {trouble && (
        <Notice tone="bad" live>
          {trouble}
        </Notice>
      )}
    </>
  );
}
