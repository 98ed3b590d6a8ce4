import { useEffect, useRef, useState } from 'preact/hooks';
import type { Plank, Progress } from '../../domain/round_model';
import type { Running, StopAdvice, Usual } from '../../domain/stop_advice';
import {
  Button,
  ButtonLink,
  goBack,
  Icon,
  IconButton,
  lookChoice,
  RangeBar,
  Segmented,
  Sheet,
  Toggle,
} from '../../parts';
import { hand } from '../../parts/hand';
import { decimals, intervalWords, t } from '../../text';

interface Props {
  planks: readonly Plank[];
  progress: Progress;
  mean: Running | undefined;
  usual: Usual | undefined;
  /** Undefined while earlier rounds are still being read. */
  advice: StopAdvice | undefined;
  /** Undefined on a phone that only reads. */
  onFinish: (() => void) | undefined;
}

/** The head of the ladder: how far, how many a board against the usual, and whether it is enough for today. */
export function RoundHead({ planks, progress, mean, usual, advice, onFinish }: Props) {
  const [settings, setSettings] = useState(false);
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus({ preventScroll: true }), []);
  const words = advice ? usualWords(usual) : '\u00a0'; // the line keeps its place while they are read
  return (
    <header class="round-head">
      <div class="round-head-line">
        <IconButton icon="back" label={t('round.leave')} onClick={() => goBack('/')} />
        <h1 class="grow figures" ref={heading} tabIndex={-1}>
          <span class="only-heard">{t('round.title')}: </span>
          {t('round.done_of', { n: progress.n_done, m: progress.n_boards })}
        </h1>
        <IconButton icon="more" label={t('round.more')} onClick={() => setSettings(true)} />
        {onFinish && (
          <Button kind="plain" data-key="f" onClick={onFinish}>
            {t('round.finish')}
          </Button>
        )}
      </div>
      <div class="strip" aria-hidden="true">
        {planks.map((plank) => (
          <span key={plank.board.id} class={`strip-plank strip-${plank.double ? 'double' : plank.state}`} />
        ))}
      </div>
      {mean ? <MeanLine mean={mean} usual={usual} words={words} /> : <p class="round-usual soft">{words}</p>}
      {advice && (
        <p class={`round-advice round-advice-${advice}`} role="status">
          {advice === 'enough' && <Icon name="tick" />}
          {t(`round.${advice}`)}
        </p>
      )}
      {settings && <SettingsSheet onClose={() => setSettings(false)} />}
    </header>
  );
}

function MeanLine({ mean, usual, words }: { mean: Running; usual: Usual | undefined; words: string }) {
  return (
    <div class="round-mean figures">
      <p class="row-apart">
        <strong>{t('round.mean_so_far', { mean: decimals(mean.mean) })}</strong>
        <span class="soft">{words}</span>
      </p>
      <RangeBar value={mean.mean} low={mean.low} high={mean.high} usual={usual} />
      <p class="soft">{meanInterval(mean)}</p>
    </div>
  );
}

function SettingsSheet({ onClose }: { onClose: () => void }) {
  return (
    <Sheet title={t('round.settings')} onClose={onClose}>
      <Toggle
        label={t('round.left_hand')}
        hint={t('round.left_hand_hint')}
        on={hand.value === 'left'}
        onChange={(left) => {
          hand.value = left ? 'left' : 'right';
        }}
      />
      <Segmented
        label={t('shell.look')}
        value={lookChoice.value}
        choices={[
          { value: 'auto', label: t('shell.look_auto') },
          { value: 'dawn', label: t('shell.look_dawn') },
          { value: 'day', label: t('shell.look_day') },
        ]}
        onChoose={(choice) => {
          lookChoice.value = choice;
        }}
      />
      <p class="soft small">{t('shell.look_hint')}</p>
      <ButtonLink to="/paper">{t('round.on_paper')}</ButtonLink>
    </Sheet>
  );
}

function usualWords(usual: Usual | undefined): string {
  if (!usual) return t('round.no_usual');
  return t('round.usual', { mean: decimals(usual.mean), interval: intervalWords(usual.low, usual.high) });
}

export function meanInterval(mean: Running): string {
  return mean.high === null
    ? t('round.interval_open', { low: decimals(mean.low) })
    : t('round.interval', { interval: intervalWords(mean.low, mean.high) });
}
