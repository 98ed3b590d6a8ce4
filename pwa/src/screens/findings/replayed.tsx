import { useEffect, useState } from 'preact/hooks';
import { RULES } from '../../generated/api';
import { meta, setMeta } from '../../storage';
import { replayOf, syncState } from '../../sync';
import { decimals, t } from '../../text';
import { dayWords } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { type Calls, type Replayed, readReplay } from './replay';

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
  const { beside } = replayed;
  const title = RULES.find(({ name }) => name === replayed.rule)?.title ?? replayed.rule;
  const rows: [string, Calls][] = [
    [t('findings.replay_rule'), replayed],
    [t('findings.replay_published'), beside.published],
    [t('findings.replay_always'), beside.always],
    [t('findings.replay_never'), beside.never],
  ];
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
          {replayed.lead_hours !== undefined &&
            t('findings.replay_lead', { hours: decimals(replayed.lead_hours, 0) })}
        </p>
        <div class="table-frame">
          <table class="findings-table figures">
            <thead>
              <tr>
                <th scope="col">{t('findings.col_way')}</th>
                <th scope="col">{t('findings.col_hits')}</th>
                <th scope="col">{t('findings.col_false')}</th>
                <th scope="col">{t('findings.col_missed')}</th>
                <th scope="col">{t('findings.col_cost')}</th>
              </tr>
            </thead>
            <tbody>
              {rows.map(([name, calls]) => (
                <tr key={name}>
                  <th scope="row">{name}</th>
                  <td>{calls.hits}</td>
                  <td>{calls.false_alarms}</td>
                  <td>{calls.misses}</td>
                  <td>{decimals(calls.cost, 0)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
        <p class="soft small">
          {t('findings.replay_event', { event: replayed.event, method: beside.published.method, day })}{' '}
          {replayed.says.join(' ')}
        </p>
      </div>
    </details>
  );
}
