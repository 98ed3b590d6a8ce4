import { useEffect, useState } from 'preact/hooks';
import { meta, setMeta } from '../../storage';
import { replayOf, syncState } from '../../sync';
import { t } from '../../text';
import { dayWords } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { ruleTitle } from '../warnings/rule_words';
import { ReliabilityPicture } from './reliability_picture';
import { givesChances, type Replayed, readReplay } from './replay';
import { brierWords, costWords, leadWords, shareWords, WaysTable } from './replay_parts';

/** Rules that can be asked again for any time: they need nothing but readings and counts. */
const ASKED = ['frost', 'surge'] as const;
/** A season does not change within a day. */
const KEPT_MS = 24 * 3_600_000;

type Kept = { at: string; answer: unknown };

/** The rules over all records of the plot, beside doing without them; the last answer is kept for offline. */
export function ReplayedRules({ facts, today }: { facts: PlotFacts; today: string }) {
  const kept = useReplays(facts.plot_id);
  return (
    <>
      {kept.map(({ at, answer }) => {
        const replayed = readReplay(answer);
        return (
          replayed && <One key={replayed.rule} replayed={replayed} day={dayWords(at.slice(0, 10), today)} />
        );
      })}
    </>
  );
}

function useReplays(plotId: string | undefined): Kept[] {
  const [kept, setKept] = useState<Kept[]>([]);
  const at = syncState.value.last_sync_at;
  useEffect(() => {
    let gone = false;
    const show = (all: (Kept | undefined)[]): void => {
      if (!gone) setKept(all.filter((one) => one !== undefined));
    };
    const run = async (): Promise<void> => {
      const old = await Promise.all(ASKED.map((rule) => meta<Kept>(`replay/${rule}`)));
      show(old);
      if (!plotId || !navigator.onLine) return;
      show(await Promise.all(ASKED.map((rule, i) => fresh(plotId, rule, old[i]))));
    };
    void run();
    return () => {
      gone = true;
    };
  }, [plotId, at]);
  return kept;
}

async function fresh(plotId: string, rule: string, old: Kept | undefined): Promise<Kept | undefined> {
  if (old && Date.now() - Date.parse(old.at) < KEPT_MS) return old;
  try {
    const now = { at: new Date().toISOString(), answer: await replayOf(plotId, rule) };
    await setMeta(`replay/${rule}`, now);
    return now;
  } catch {
    return old; // not at home: the last answer stands, with its day
  }
}

function One({ replayed, day }: { replayed: Replayed; day: string }) {
  const { beside, unread } = replayed;
  const title = ruleTitle(replayed.rule);
  const brier = brierWords(replayed);
  return (
    <details class="findings-more">
      <summary>{t('findings.replay_title', { title })}</summary>
      <div class="stack-tight">
        <p>
          {t('findings.replay_says', {
            n: replayed.n,
            came: replayed.hits + replayed.misses,
            hits: replayed.hits,
            misses: replayed.misses,
            false_alarms: replayed.false_alarms,
          })}{' '}
          {leadWords(replayed)} {unread > 0 && t('findings.replay_unread', { unread })}
        </p>
        <WaysTable replayed={replayed} />
        <p class="soft small">{t('findings.shares_meaning')}</p>
        <p>{shareWords(replayed).join(' ')}</p>
        <p>{costWords(replayed)}</p>
        {brier && (
          <>
            <h3 class="findings-part">{t('findings.brier_title')}</h3>
            <p>{brier}</p>
          </>
        )}
        {givesChances(replayed) && <ReliabilityPicture reliability={replayed.reliability} />}
        <p class="soft small">
          {t('findings.replay_event', { event: replayed.event, method: beside.published.method, day })}{' '}
          {replayed.says.join(' ')}
        </p>
      </div>
    </details>
  );
}
