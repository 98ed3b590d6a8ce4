import type { Channels as Known } from '../../generated/api';
import { Button, Notice } from '../../parts';
import { hindranceOf, notices, thisBrowser } from '../../sync/notices';
import { NoAnswer, NotHome, Refused } from '../../sync/server';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { type Act, Failed, Section, TrialButton } from './channel_parts';
import { phoneStanding } from './channels_model';

type Props = { known: Known; facts: PlotFacts; act: Act; busy: boolean };

/** Notices on the phone in the hand. The browser's question comes at the tap, never before. */
export function ThisPhone({ known, act, busy }: Props) {
  const standing = phoneStanding(hindranceOf(thisBrowser()), notices.wanted, known);
  const allow = () => act(() => allowNotices(known.push.public_key));
  const stop = () =>
    act(async () => {
      await notices.stop();
      return undefined;
    });
  return (
    <Section title={t('channels.phone')}>
      {standing.kind === 'hindered' && <p>{t(`channels.${standing.why}`)}</p>}
      {standing.kind === 'broken' && (
        <Notice tone="bad">
          {t('channels.state_dead')}. {standing.words}
        </Notice>
      )}
      {(standing.kind === 'off' || standing.kind === 'broken') && (
        <Button wide disabled={busy} onClick={() => void allow()}>
          {t('channels.allow')}
        </Button>
      )}
      {standing.kind === 'on' && (
        <>
          <p>{t('channels.on')}</p>
          <div class="row">
            <TrialButton kind="push" id={standing.id} act={act} busy={busy} />
            <Button kind="quiet" disabled={busy} onClick={() => void stop()}>
              {t('channels.off')}
            </Button>
          </div>
        </>
      )}
      {standing.kind !== 'hindered' && <p class="soft small">{t('channels.phone_hint')}</p>}
    </Section>
  );
}

async function allowNotices(key: string): Promise<string> {
  let permission: NotificationPermission;
  try {
    permission = await notices.allow(key);
  } catch (error) {
    if (error instanceof Refused || error instanceof NoAnswer || error instanceof NotHome) throw error;
    throw new Failed(t('channels.allow_failed'));
  }
  if (permission === 'denied') throw new Failed(t('channels.blocked'));
  if (permission !== 'granted') throw new Failed(t('channels.undecided'));
  return t('channels.on');
}
