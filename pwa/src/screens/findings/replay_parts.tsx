/** What is told of a rule asked again: beside other ways, in cost, and how good its chances were. */
import { proportion } from '../../agronomy';
import { decimals, t } from '../../text';
import { type Calls, cheapest, type Replayed } from './replay';
import { percent, span } from './shares';

/** Four ways side by side; what each row means stands in its name. */
export function WaysTable({ replayed }: { replayed: Replayed }) {
  const { published, always, never } = replayed.beside;
  const ways: readonly Calls[] = [replayed, published, always, never];
  const rows: [string, (calls: Calls) => string][] = [
    [t('findings.row_hits'), ({ hits }) => `${hits}`],
    [t('findings.row_missed'), ({ misses }) => `${misses}`],
    [t('findings.row_false'), ({ false_alarms }) => `${false_alarms}`],
    [t('findings.row_pod'), ({ pod }) => share(pod)],
    [t('findings.row_far'), ({ far }) => share(far)],
    [t('findings.row_csi'), ({ csi }) => share(csi)],
    [t('findings.row_cost'), ({ cost }) => money(cost)],
  ];
  return (
    <div class="table-frame">
      <table class="findings-table ways-table figures">
        <thead>
          <tr>
            <td />
            <th scope="col">{t('findings.way_rule')}</th>
            <th scope="col">{t('findings.way_published')}</th>
            <th scope="col">{t('findings.way_always')}</th>
            <th scope="col">{t('findings.way_never')}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(([name, cell]) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              {ways.map((calls, i) => (
                <td key={i}>{cell(calls)}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

/** What the rule's two shares are and how sure they are; what the three share rows of the table mean. */
export function shareWords({ hits, misses, false_alarms }: Calls): string[] {
  const of = (found: number, all: number) => {
    const { exact_low, exact_high } = proportion({ found, examined: all });
    return { found, all, share: percent(found / all), span: span(exact_low, exact_high) };
  };
  const [came, warned] = [hits + misses, hits + false_alarms];
  return [
    came > 0 ? t('findings.shares_caught', of(hits, came)) : '',
    warned > 0 ? t('findings.shares_wasted', of(false_alarms, warned)) : '',
  ].filter(Boolean);
}

/** What a warning and a miss are reckoned at, what each way came to, which was the cheapest. */
export function costWords(replayed: Replayed): string {
  const { cost_of_a_warning: cost, loss_of_a_miss: loss, beside } = replayed;
  if (cost === undefined || loss === undefined) return '';
  const { ways } = cheapest(replayed);
  const only = ways.length === 1 ? ways[0] : undefined;
  const verdict = only
    ? t(`findings.cheapest_${only}`)
    : t(ways.includes('rule') ? 'findings.cheapest_shared' : 'findings.cheapest_others');
  const figures = t('findings.cost_words', {
    cost: money(cost),
    loss: money(loss),
    rule: money(replayed.cost),
    published: money(beside.published.cost),
    always: money(beside.always.cost),
    never: money(beside.never.cost),
  });
  return `${figures} ${verdict}`;
}

/** The Brier score and what it means; against saying the usual share each time. */
export function brierWords({ brier, brier_usual: usual }: Replayed): string {
  if (brier === undefined) return '';
  const score = t('findings.brier', { brier: decimals(brier, 3) });
  if (usual === undefined) return score;
  const verdict = brier < usual ? 'better' : brier > usual ? 'worse' : 'same';
  return `${score} ${t(`findings.brier_${verdict}`, { usual: decimals(usual, 3) })}`;
}

/** How long before it came the warning was there. */
export function leadWords({ lead_hours: hours, hits }: Replayed): string {
  if (hours === undefined) return hits > 0 ? '' : t('findings.lead_none');
  return t('findings.replay_lead', { hours: decimals(hours, hours < 10 ? 1 : 0) });
}

function share(value: number | undefined): string {
  return value === undefined ? '–' : percent(value);
}

function money(value: number): string {
  return decimals(value, Number.isInteger(value) ? 0 : 2);
}
