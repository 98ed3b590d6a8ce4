import { useRef, useState } from 'preact/hooks';
import { numberOn } from '../../domain/double_counts';
import type { Plank, Tap } from '../../domain/round_model';
import { Button, Icon, type IconName, Notice } from '../../parts';
import { hand } from '../../parts/hand';
import { t } from '../../text';
import { otherWords } from './ladder';
import { NoneSheet } from './none_sheet';
import { WhySheet } from './why_sheet';

interface Props {
  plank: Plank;
  /** Photos taken of this board before it has a count. */
  held: number;
  canUndo: boolean;
  last: boolean;
  onTap: (tap: Tap, moveOn: boolean) => void;
  onUndo: () => void;
  onNext: () => void;
}

/** The open board: its number in figures to be read at arm's length, and keys as wide as a thumb reaches. */
export function Pad(props: Props) {
  const { plank, onTap } = props;
  const [asking, ask] = useState<'why' | 'none' | undefined>();
  const answered = (): void => ask(undefined);
  const number = numberOn(plank.mine?.body ?? {});
  return (
    <section class={`turned turned-${hand.value}`} aria-label={plank.board.label}>
      <TurnedHead plank={plank} />
      <TurnedNumber plank={plank} held={props.held} />
      <div class="turned-keys">
        <button
          type="button"
          class="key key-minus"
          data-key="-"
          disabled={!number}
          onClick={() => onTap({ kind: 'minus' }, false)}
        >
          <span aria-hidden="true">−1</span>
          <span class="only-heard">{t('round.minus')}</span>
        </button>
        <button
          type="button"
          class="key key-plus"
          data-key="+"
          onClick={() => onTap({ kind: 'plus' }, false)}
        >
          <span aria-hidden="true">+1</span>
          <span class="only-heard">{t('round.plus')}</span>
        </button>
      </div>
      <div class="turned-acts">
        <Act
          icon="none"
          hotkey="n"
          words={t('round.none_here')}
          onClick={() => (number ? ask('none') : onTap({ kind: 'none' }, true))}
        />
        <Act icon="blocked" hotkey="c" words={t('round.could_not')} onClick={() => ask('why')} />
        <Act
          icon="eggs"
          hotkey="e"
          words={t('round.eggs')}
          onClick={() => onTap({ kind: 'eggs', by: 1 }, false)}
        />
        <PhotoKey onTap={onTap} />
      </div>
      <div class="turned-keys turned-moves">
        <Button class="key-undo" icon="undo" data-key="u" disabled={!props.canUndo} onClick={props.onUndo}>
          {t('round.undo')}
        </Button>
        <Button
          class="key-next"
          data-key="ArrowRight"
          icon={props.last ? 'tick' : 'next'}
          onClick={props.onNext}
        >
          {props.last ? t('round.to_end') : t('round.next')}
        </Button>
      </div>
      {asking === 'why' && <WhySheet plank={plank} onTap={onTap} onClose={answered} />}
      {asking === 'none' && <NoneSheet plank={plank} n={number ?? 0} onTap={onTap} onClose={answered} />}
    </section>
  );
}

function TurnedHead({ plank }: { plank: Plank }) {
  return (
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
  );
}

/** The number stands in the middle; on its left that it is saved, on its right what else is known. */
function TurnedNumber({ plank, held }: { plank: Plank; held: number }) {
  const own = plank.mine?.body;
  const number = numberOn(own ?? {});
  return (
    <output class="turned-number" aria-live="polite" data-saved={own?.state ?? 'todo'}>
      <span class="turned-saved">
        {own?.state && (
          <>
            <Icon name="tick" />
            {t('round.saved')}
          </>
        )}
      </span>
      <span
        class={`turned-figure figures ${number !== undefined && number > 99 ? 'turned-figure-long' : ''}`}
      >
        {number ?? (own?.state ? <Icon name="blocked" /> : <span class="turned-blank">?</span>)}
      </span>
      <span class="turned-state">
        {stateWords(plank, held).map((words) => (
          <span key={words}>{words}</span>
        ))}
      </span>
    </output>
  );
}

function Act(props: { icon: IconName; words: string; hotkey: string; onClick: () => void }) {
  return (
    <button type="button" class="act" data-key={props.hotkey} onClick={props.onClick}>
      <Icon name={props.icon} />
      <span>{props.words}</span>
    </button>
  );
}

function stateWords(plank: Plank, held: number): string[] {
  const own = plank.mine?.body;
  const photos = (own?.photos?.length ?? 0) + held;
  return [
    own?.state ? (own.state === 'counted' ? '' : t(`round.${own.state}`)) : t('round.todo'),
    own?.state === 'not_turned' || own?.state === 'spoiled' ? (own.reason ?? '') : '',
    own?.egg_clusters ? t('round.eggs_n', { n: own.egg_clusters }) : '',
    photos ? t('round.photos_n', { n: photos }) : '',
    plank.disputed ? t('round.disputed') : '',
  ].filter(Boolean);
}

/** The phone's own camera; the picture is made small and loses what the camera wrote into it. */
function PhotoKey({ onTap }: { onTap: Props['onTap'] }) {
  const input = useRef<HTMLInputElement>(null);
  const [trouble, setTrouble] = useState('');
  const take = async (file: File | undefined): Promise<void> => {
    if (!file) return;
    setTrouble(''); // the same words again would not be read aloud
    // The code for photos comes with the first one: the boards do not wait for it.
    const { PhotoRefused, savePhoto } = await import('../../storage/photos');
    try {
      const { pictureOf } = await import('../../parts/picture');
      const { bytes, thumb, width, height } = await pictureOf(file);
      const info = { mime: 'image/jpeg', taken_at: new Date().toISOString(), width, height };
      const sha256 = await savePhoto(bytes, info, thumb);
      onTap({ kind: 'photo', sha256, bytes: bytes.byteLength }, false);
    } catch (fault) {
      setTrouble(t(fault instanceof PhotoRefused ? `round.photo_${fault.why}` : 'round.photo_failed'));
    }
  };
  return (
    <>
      <Act icon="camera" hotkey="p" words={t('round.photo')} onClick={() => input.current?.click()} />
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
