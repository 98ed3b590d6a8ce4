import { Card } from '../../parts';
import { decimals, t } from '../../text';
import { dayPlus, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { byLabel } from '../plot/model';
import type { TrapData } from './index';
import { type BedSummary, bedSummary } from './model';
import { reasonWords } from './words';

/** Older catches say little about the bed of today: it has been dug, planted and cropped since. */
const LOOK_BACK = 365;

/** What the valid lifts of each bed say: catch a trap with its interval, and what an empty trap is worth. */
export function Beds({ data, facts }: { data: TrapData; facts: PlotFacts }) {
  const placeOf = new Map(data.all.map((trap) => [trap.id, trap.place_id ?? '']));
  const from = dayPlus(localDay(new Date(), facts.time_zone), -LOOK_BACK);
  const lifts = data.catches.filter(
    (lift) => lift.observed_at !== undefined && localDay(lift.observed_at, facts.time_zone) >= from,
  );
  const ids = [...new Set(lifts.map((lift) => placeOf.get(lift.station_id) ?? ''))];
  const beds = ids
    .map((id) => ({
      id,
      label: data.placeLabel.get(id) ?? t('traps.no_bed'),
      summary: bedSummary(
        lifts.filter((lift) => (placeOf.get(lift.station_id) ?? '') === id),
        facts.time_zone,
      ),
    }))
    .filter((bed) => bed.summary !== undefined)
    .sort(byLabel);
  const cautions = [...new Set(beds.flatMap((bed) => bed.summary?.cautions ?? []))];
  return (
    <Card title={t('traps.beds')}>
      {beds.length === 0 && <p class="soft">{t('traps.beds_none')}</p>}
      <ul class="beds">
        {beds.map((bed) => bed.summary && <Bed key={bed.id} label={bed.label} summary={bed.summary} />)}
      </ul>
      {cautions.map((words) => (
        <p key={words} class="soft small">
          {words}
        </p>
      ))}
    </Card>
  );
}

function Bed({ label, summary }: { label: string; summary: BedSummary }) {
  const { caught, n_traps: n, per_trap, low, high, per_acre } = summary;
  const figure = (value: number) => decimals(value, value < 1 ? 2 : 1);
  return (
    <li class="bed">
      <h3>{label}</h3>
      {per_trap === null || low === null || high === null ? (
        <p>{t('traps.bed_no_valid')}</p>
      ) : caught === 0 ? (
        <>
          <p>
            <strong>{t('traps.bed_nil', { n, high: figure(high) })}</strong>
          </p>
          {summary.miss !== undefined && (
            <p>{t('traps.bed_miss', { n, p: Math.round(100 * summary.miss) })}</p>
          )}
        </>
      ) : (
        <>
          <p>
            <strong>
              {t('traps.bed_mean', { mean: figure(per_trap), low: figure(low), high: figure(high) })}
            </strong>
          </p>
          <p class="soft">{t('traps.bed_from', { caught, n })}</p>
          {per_acre !== null && (
            <p class="soft small">
              {t('traps.bed_thumb', { acre: decimals(Math.round(per_acre / 1000) * 1000, 0) })}
            </p>
          )}
        </>
      )}
      <LeftOut summary={summary} />
    </li>
  );
}

function LeftOut({ summary }: { summary: BedSummary }) {
  const reasons = [...new Set(summary.left_out.flatMap((item) => item.validity.reasons))];
  return (
    <>
      {summary.left_out.length > 0 && (
        <p class="soft small">
          {t('traps.bed_left_out', { n: summary.left_out.length, why: reasonWords(reasons) })}
        </p>
      )}
      {summary.disputed > 0 && <p class="soft small">{t('traps.bed_disputed', { n: summary.disputed })}</p>}
    </>
  );
}
