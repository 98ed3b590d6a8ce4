import { useState } from 'preact/hooks';
import type { Progress } from '../../domain/round_model';
import type { Running, StopAdvice, Usual } from '../../domain/stop_advice';
import { Button, goBack, IconButton, Sheet, Toggle } from '../../parts';
import { hand } from '../../parts/hand';
import type { View } from '../../storage';
import { decimals, intervalWords, t } from '../../text';

interface Props {
  round: View<'round'>;
  progress: Progress;
  mean: Running | undefined;
  usual: Usual | undefined;
  advice: StopAdvice;
  onFinish: () => void;
}

/** The head of the ladder: how far, how many a board against the usual, and whether it is enough for today. */
export function RoundHead({ progress, mean, usual, advice, onFinish }: Props) {
  const [settings, setSettings] = useState(false);
  return (
    <header class="round-head">
      <div class="round-head-line">
        <IconButton icon="back" label={t('parts.back')} onClick={() => goBack('/')} />
        <h1 class="grow">
          <span class="only-heard">{t('round.title')}: </span>
          {t('round.done_of', { n: progress.n_done, m: progress.n_boards })}
        </h1>
        <IconButton icon="more" label={t('round.more')} onClick={() => setSettings(true)} />
        <Button kind="plain" onClick={onFinish}>
          {t('round.finish')}
        </Button>
      </div>
      <progress class="round-progress" value={progress.n_done} max={progress.n_boards} aria-hidden="true" />
      <p class="round-mean figures">
        {mean ? (
          <>
            <strong>{t('round.mean_so_far', { mean: decimals(mean.mean) })}</strong>
            <span>{meanInterval(mean)}</span>
            <span class="soft">
              {mean.law === 'poisson' ? t('round.law_poisson') : t('round.law_clumped')}
            </span>
          </>
        ) : null}
        <span class="soft">
          {usual
            ? t('round.usual', { mean: decimals(usual.mean), interval: intervalWords(usual.low, usual.high) })
            : t('round.no_usual')}
        </span>
      </p>
      <p class={`round-advice ${advice === 'enough' ? 'round-advice-enough' : ''}`} role="status">
        {t(`round.${advice}`)}
      </p>
      {settings && (
        <Sheet title={t('round.settings')} onClose={() => setSettings(false)}>
          <Toggle
            label={t('round.left_hand')}
            hint={t('round.left_hand_hint')}
            on={hand.value === 'left'}
            onChange={(left) => {
              hand.value = left ? 'left' : 'right';
            }}
          />
        </Sheet>
      )}
    </header>
  );
}

export function meanInterval(mean: Running): string {
  return mean.high === null
    ? t('round.interval_open', { low: decimals(mean.low) })
    : t('round.interval', { interval: intervalWords(mean.low, mean.high) });
}
