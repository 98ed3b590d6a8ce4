import { Button, Card } from '../../parts';
import { decimals, t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { BedBar } from './bed_bar';
import {
  type BedEvidence,
  type CoreEvidence,
  type RankedBed,
  type Settled,
  settled,
  weighBeds,
} from './evidence';
import type { TrapData } from './load';
import { reasonWords } from './words';

type BedsProps = {
  data: TrapData;
  facts: PlotFacts;
  /** Opens the sheet for setting; none on a phone that only reads. */
  onSet: ((place: string, n?: number) => void) | undefined;
};

/** Beds from the lowest upper limit up: what traps and cores say, and what it means for potatoes and carrots. */
export function Beds({ data, facts, onSet }: BedsProps) {
  const place_of = new Map(data.all.map((trap) => [trap.id, trap.place_id ?? '']));
  const beds = weighBeds(
    { ...data, place_of, labels: data.placeLabel },
    data.limits,
    data.today,
    facts.time_zone,
  );
  const end = scaleEnd(beds, data);
  const first = beds.find(({ rank }) => rank === 1);
  return (
    <Card title={t('traps.beds')}>
      {beds.length === 0 ? (
        <p class="soft">{t('traps.beds_none')}</p>
      ) : (
        <p class="soft small">
          {t('traps.beds_order')} {first && beds.length > 1 && t('traps.beds_best', { bed: first.label })}
        </p>
      )}
      <ol class="beds">
        {beds.map((bed) => (
          <BedRow key={bed.id} bed={bed} data={data} end={end} onSet={onSet} />
        ))}
      </ol>
      {beds.length > 0 && <p class="soft small">{t('traps.beds_caution')}</p>}
    </Card>
  );
}

/** One scale for all beds: long enough for what matters, not for the far end of two empty traps. */
function scaleEnd(beds: readonly RankedBed[], { limits }: TrapData): number {
  const means = beds.map(({ evidence }) => evidence.traps?.per_trap ?? 0);
  return Math.max(3 * limits.do_not_per_trap, 1.5 * Math.max(0, ...means));
}

type RowProps = { bed: RankedBed; data: TrapData; end: number; onSet: BedsProps['onSet'] };

function BedRow({ bed, data, end, onSet }: RowProps) {
  const { evidence } = bed;
  const more = settled(evidence.traps, data.limits);
  const label = bed.label || t('traps.no_bed');
  return (
    <li class="bed">
      <h3>
        {bed.rank !== undefined && <span class="bed-rank figures">{bed.rank}.</span>} {label}
      </h3>
      <p class={`bed-verdict bed-${evidence.verdict ?? 'unknown'}`}>
        <strong>{t(`traps.verdict_${evidence.verdict ?? 'unknown'}`)}</strong>
      </p>
      {evidence.traps && <BedBar traps={evidence.traps} limits={data.limits} end={end} />}
      <TrapWords evidence={evidence} limits={data.limits} />
      {evidence.cores.map((cores) => (
        <CoreWords key={`${cores.diameter_m} ${cores.method}`} cores={cores} />
      ))}
      <dl class="bed-means">
        {(['potatoes', 'carrots'] as const).map((crop) => (
          <div key={crop}>
            <dt>{t(`traps.${crop}`)}</dt>
            <dd>{t(`traps.${crop}_${evidence.verdict ?? 'unknown'}`)}</dd>
          </div>
        ))}
      </dl>
      <p>{settleWords(more, evidence)}</p>
      <LeftOut evidence={evidence} />
      {onSet && bed.id !== '' && more.state === 'more' && (
        <Button aria-label={t('traps.set_more_in', { bed: label })} onClick={() => onSet(bed.id)}>
          {t('traps.set_more')}
        </Button>
      )}
    </li>
  );
}

function settleWords(more: Settled, { traps }: BedEvidence): string {
  if (more.state === 'enough') return t(`traps.enough_${more.says}`);
  if (more.state === 'more' && traps) return t(`traps.settle_more_${more.if_all}`, { n: more.n });
  return more.state === 'more' ? t('traps.settle_none_yet', { n: more.n }) : t('traps.settle_open');
}

const figure = (value: number) => decimals(value, value < 1 ? 2 : 1);
/** Below one in a hundred nobody tells the figures apart. */
const percent = (p: number) => (p < 0.01 ? t('traps.under_one') : String(Math.round(100 * p)));

function TrapWords({ evidence, limits }: { evidence: BedEvidence; limits: TrapData['limits'] }) {
  const { traps } = evidence;
  if (!traps) return <p>{t('traps.bed_no_valid')}</p>;
  const { found, n, per_trap, low, high, per_acre } = traps;
  if (found === 0) {
    return (
      <>
        <p>{t('traps.bed_nil', { n, high: figure(high) })}</p>
        <p>{t('traps.bed_missed', { n, usual: figure(limits.plant_per_trap), p: percent(traps.p_miss) })}</p>
      </>
    );
  }
  return (
    <>
      <p>{t('traps.bed_mean', { mean: figure(per_trap), low: figure(low), high: figure(high) })}</p>
      <p class="soft">{t('traps.bed_from', { caught: found, n })}</p>
      <p class="soft small">
        {t('traps.bed_thumb', { acre: decimals(Math.round(per_acre / 1000) * 1000, 0) })}
      </p>
    </>
  );
}

function CoreWords({ cores }: { cores: CoreEvidence }) {
  const { n, found } = cores;
  const size = decimals(cores.diameter_m * 100, 1);
  const method = t(`traps.cores_${cores.method}`);
  if (found === 0) {
    return (
      <p>
        {t('traps.cores_nil', {
          n,
          size,
          method,
          up_to: decimals(cores.up_to_m2, 1),
          p: percent(cores.p_miss),
        })}
      </p>
    );
  }
  return (
    <p>
      {t('traps.cores_found', {
        n,
        size,
        method,
        found,
        mean: decimals(cores.per_m2, 1),
        low: decimals(cores.low_m2, 1),
        high: decimals(cores.high_m2, 1),
        ha: decimals(Math.round(cores.per_ha / 1000) * 1000, 0),
      })}
    </p>
  );
}

function LeftOut({ evidence }: { evidence: BedEvidence }) {
  const reasons = [...new Set(evidence.left_out.flatMap((item) => item.validity.reasons))];
  return (
    <>
      {evidence.left_out.length > 0 && (
        <p class="soft small">
          {t('traps.bed_left_out', { n: evidence.left_out.length, why: reasonWords(reasons) })}{' '}
          {evidence.found_anyway > 0 && t('traps.found_anyway', { n: evidence.found_anyway })}
        </p>
      )}
      {evidence.disputed > 0 && <p class="soft small">{t('traps.bed_disputed', { n: evidence.disputed })}</p>}
    </>
  );
}
