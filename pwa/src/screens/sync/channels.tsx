import { useEffect, useState } from 'preact/hooks';
import type { Channels as Known } from '../../generated/api';
import { Card, Notice } from '../../parts';
import { syncState } from '../../sync';
import { notices, thisBrowser } from '../../sync/notices';
import { Refused } from '../../sync/server';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { Calendar } from './channel_calendar';
import { Mail } from './channel_mail';
import { type Act, Failed, Section, TargetState } from './channel_parts';
import { ThisPhone } from './channel_phone';
import { brokenElsewhere } from './channels_model';
import { problemWords } from './problem_words';

/** How warnings reach people besides the app: notices on phones, mails, a calendar. */
export function Channels({ facts }: { facts: PlotFacts }) {
  const [known, setKnown] = useState<Known | 'unreached' | undefined>(undefined);
  const [said, setSaid] = useState<{ words: string; bad: boolean } | undefined>(undefined);
  const [busy, setBusy] = useState(false);
  const read = async () => {
    const found = await notices.channels();
    const { permission } = thisBrowser();
    // A push service that is out of reach must not hide everything else.
    const mended = await notices.mend(permission, found).catch(() => false);
    setKnown(mended ? await notices.channels() : found);
  };
  const reached = syncState.value.last_sync_at;
  useEffect(() => {
    read().catch(() => setKnown((now) => (typeof now === 'object' ? now : 'unreached')));
  }, [reached]);
  const act: Act = async (work) => {
    setBusy(true);
    setSaid(undefined);
    try {
      const words = await work();
      if (words) setSaid({ words, bad: false });
    } catch (error) {
      setSaid({ words: wordsOf(error), bad: true });
    }
    await read().catch(() => undefined);
    setBusy(false);
  };
  const shared = { facts, act, busy };
  return (
    <Card title={t('channels.title')} icon="hand">
      <p class="soft">{t('channels.soft')}</p>
      {known === 'unreached' && <p class="soft">{t('channels.unreached')}</p>}
      {said && (
        <Notice live tone={said.bad ? 'bad' : 'good'}>
          {said.words}
        </Notice>
      )}
      {typeof known === 'object' && (
        <>
          <ThisPhone known={known} {...shared} />
          <Others known={known} facts={facts} />
          <Mail known={known} {...shared} />
          <Calendar known={known} {...shared} />
        </>
      )}
    </Card>
  );
}

function wordsOf(error: unknown): string {
  if (error instanceof Failed) return error.message;
  if (error instanceof Refused) return problemWords(error.problem);
  return t('channels.failed');
}

function Others({ known, facts }: { known: Known; facts: PlotFacts }) {
  const broken = brokenElsewhere(known);
  if (broken.length === 0) return null;
  return (
    <Section title={t('channels.others')}>
      <ul class="devices">
        {broken.map((phone) => (
          <li key={phone.id} class="device">
            <strong>{phone.label}</strong>
            <TargetState target={phone} facts={facts} />
          </li>
        ))}
      </ul>
    </Section>
  );
}
