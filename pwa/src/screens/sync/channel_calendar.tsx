import { useState } from 'preact/hooks';
import type { Channels as Known } from '../../generated/api';
import { Button } from '../../parts';
import { notices } from '../../sync/notices';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { type Act, Section, whenWords } from './channel_parts';

type Props = { known: Known; facts: PlotFacts; act: Act; busy: boolean };

/** The calendar's secret address: shown once when it is made, replaced or withdrawn by owners. */
export function Calendar({ known, facts, act, busy }: Props) {
  const [url, setUrl] = useState<string | undefined>(undefined);
  const feed = known.calendar;
  const owner = facts.role === 'owner';
  const make = () =>
    act(async () => {
      setUrl(await notices.makeCalendar());
      return undefined;
    });
  const end = () =>
    act(async () => {
      await notices.endCalendar();
      setUrl(undefined);
      return undefined;
    });
  return (
    <Section title={t('channels.calendar')}>
      <p class="soft small">{t('channels.calendar_soft')}</p>
      {feed ? (
        <p class="small">
          {t('channels.calendar_made', { when: whenWords(feed.made_at, facts) })}{' '}
          {feed.last_read_at
            ? t('channels.calendar_read', { when: whenWords(feed.last_read_at, facts) })
            : t('channels.calendar_unread')}
        </p>
      ) : (
        <p class="small">{t('channels.calendar_none')}</p>
      )}
      {url && <Address url={url} />}
      {owner && (
        <div class="row">
          <Button disabled={busy} onClick={() => void make()}>
            {feed ? t('channels.calendar_renew') : t('channels.calendar_make')}
          </Button>
          {feed && (
            <Button kind="quiet" disabled={busy} onClick={() => void end()}>
              {t('channels.calendar_end')}
            </Button>
          )}
        </div>
      )}
      {owner && feed && <p class="soft small">{t('channels.calendar_renew_hint')}</p>}
    </Section>
  );
}

function Address({ url }: { url: string }) {
  const [copied, setCopied] = useState(false);
  const copy = async () => {
    // Not there on plain http; the address can be marked and copied by hand.
    await navigator.clipboard?.writeText(url);
    setCopied(true);
  };
  return (
    <div class="stack-tight">
      <p role="status">{copied ? t('channels.calendar_copied') : t('channels.calendar_once')}</p>
      <code class="breaks">{url}</code>
      {'clipboard' in navigator && (
        <Button onClick={() => void copy().catch(() => undefined)}>{t('channels.calendar_copy')}</Button>
      )}
    </div>
  );
}
