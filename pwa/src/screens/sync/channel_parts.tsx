import type { ComponentChildren } from 'preact';
import type { Target } from '../../generated/api';
import { Button } from '../../parts';
import { notices } from '../../sync/notices';
import { t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { stateKey } from './channels_model';

/** Does something at the server, shows what came of it, and reads anew how everything stands. */
export type Act = (work: () => Promise<string | undefined>) => Promise<void>;

/** A failure in plain words; of a permission or a browser's own error the caller says more. */
export class Failed extends Error {}

export function Section({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <div class="stack-tight channel">
      <h3>{title}</h3>
      {children}
    </div>
  );
}

export function whenWords(at: string, facts: PlotFacts): string {
  return dayWords(localDay(at, facts.time_zone), localDay(new Date(), facts.time_zone));
}

/** One line about a target: how it does, since when, and what mends it. */
export function TargetState({ target, facts }: { target: Target; facts: PlotFacts }) {
  const bad = target.state === 'failing' || target.state === 'dead';
  const last = target.last_sent_at
    ? t('channels.last_sent', { when: whenWords(target.last_sent_at, facts) })
    : '';
  return (
    <p class="soft small">
      {t(`channels.state_${stateKey(target)}`)}
      {last && `. ${last}`}
      {bad && target.words && `. ${target.words}`}
    </p>
  );
}

export function TrialButton({
  kind,
  id,
  act,
  busy,
}: {
  kind: 'push' | 'email';
  id: string;
  act: Act;
  busy: boolean;
}) {
  const send = () =>
    act(async () => {
      const { arrived, words } = await notices.trial(kind, id);
      if (!arrived) throw new Failed(words);
      return t(`channels.tried_${kind}`);
    });
  return (
    <Button kind="quiet" disabled={busy} onClick={() => void send()}>
      {t('channels.try')}
    </Button>
  );
}
