import { useMemo } from 'preact/hooks';
import { ButtonLink, Card } from '../../parts';
import { Framed } from '../../parts/chart';
import { list, useLive } from '../../storage';
import { decimals, t } from '../../text';
import { known } from '../forms/known';
import { dayPlus } from '../forms/local_time';
import { TRAP_DAYS, wormBeds } from '../plot/sketch/week_ground';
import type { Catch } from '../traps/model';
import { type RankedWorms, rankedWorms, wormNumbers, wormPicture } from './bed_pictures';
import type { FindingsGround } from './load';

type Props = { ground: FindingsGround; timeZone: string; today: string; source: string };

async function load(today: string): Promise<Catch[]> {
  const views = await list('trap_catch', { from: dayPlus(today, -TRAP_DAYS) });
  return views.map(
    (view) => ({ ...known(view.body), id: view.id, disputed: view.conflicts.length > 0 }) as Catch,
  );
}

/** What the bait traps of the last year say of each bed. */
export function Worms({ ground, timeZone, today, source }: Props) {
  const catches = useLive(() => load(today), ['trap_catch'], [today]);
  const worms = useMemo(() => {
    if (!catches) return [];
    const stations = ground.stations as Parameters<typeof wormBeds>[1];
    return rankedWorms(wormBeds(catches, stations, { from: dayPlus(today, -6), to: today }, timeZone).beds);
  }, [catches, ground, timeZone, today]);
  const picture = useMemo(() => wormPicture(worms, ground.label), [worms, ground]);
  const numbers = useMemo(() => wormNumbers(worms, ground.label), [worms, ground]);
  return (
    <Card title={t('findings.worms')} icon="trap">
      {!catches || worms.length === 0 ? (
        <p>{t('findings.worms_none')}</p>
      ) : (
        <Framed
          picture={picture}
          numbers={numbers}
          sentence={sentenceOf(worms, ground.label)}
          source={source}
        >
          <p class="soft small">{t('findings.worms_how')}</p>
        </Framed>
      )}
      <ButtonLink wide to="/traps">
        {t('findings.to_traps')}
      </ButtonLink>
    </Card>
  );
}

function sentenceOf(worms: readonly RankedWorms[], label: ReadonlyMap<string, string>): string {
  const told = worms.filter(({ bed }) => bed.summary.per_trap !== null);
  const [first] = told;
  if (!first) return t('findings.worms_no_valid');
  const { summary } = first.bed;
  const facts = {
    ...{ bed: label.get(first.place_id) ?? '', caught: summary.caught, n: summary.n_traps },
    high: decimals(summary.high ?? 0, 2),
  };
  const best = t('findings.worms_best', facts);
  const miss =
    summary.miss === undefined ? [] : [t('findings.worms_miss', { p: decimals(100 * summary.miss, 0) })];
  const worst = [...told].sort((a, b) => (b.bed.summary.low ?? 0) - (a.bed.summary.low ?? 0))[0];
  const low = worst?.bed.summary.low ?? 0;
  const risky =
    worst && worst !== first && low > 0
      ? [t('findings.worms_worst', { bed: label.get(worst.place_id) ?? '', low: decimals(low, 2) })]
      : [];
  return [best, ...miss, ...risky].join(' ');
}
