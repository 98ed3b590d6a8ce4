import { useMemo } from 'preact/hooks';
import { Card } from '../../parts';
import { Framed } from '../../parts/chart';
import { useLive } from '../../storage';
import { decimals, t } from '../../text';
import { bedNumbers, bedPicture } from './bed_pictures';
import { apart, type BedRank, bedRanks } from './bed_ranks';
import { shortDay } from './coming_up_picture';
import { type FindingsGround, loadWeeks } from './load';
import type { Point } from './model';
import { limitWords } from './pressure_picture';

type Props = { points: readonly Point[]; ground: FindingsGround; timeZone: string; source: string };

/** Where they are: the beds of the last six weeks under each other. */
export function Beds({ points, ground, timeZone, source }: Props) {
  const weeks = useLive(() => loadWeeks(timeZone, points), ['round', 'slug_count'], [timeZone, points]);
  const found = useMemo(() => weeks && bedRanks(weeks.rounds, weeks.counts, ground.boards), [weeks, ground]);
  const ranks = found?.ranks ?? [];
  const picture = useMemo(() => bedPicture(ranks, ground.label), [found, ground]);
  const numbers = useMemo(() => bedNumbers(ranks, ground.label), [found, ground]);
  return (
    <Card title={t('findings.beds')} icon="plot">
      {!found || ranks.length === 0 ? (
        <p>{t('findings.beds_none')}</p>
      ) : (
        <Framed
          picture={picture}
          numbers={numbers}
          sentence={sentenceOf(ranks, ground.label, found)}
          source={source}
        >
          <p class="soft small">{t('findings.beds_how')}</p>
        </Framed>
      )}
    </Card>
  );
}

function sentenceOf(
  ranks: readonly BedRank[],
  label: ReadonlyMap<string, string>,
  { from, to }: { from: string; to: string },
): string {
  const words = (bed: BedRank | undefined) => ({
    bed: label.get(bed?.place_id ?? '') ?? '',
    mean: decimals(bed?.mean ?? 0),
    limits:
      bed?.low === null || bed === undefined
        ? t('findings.limits_none')
        : t('findings.limits_are', { limits: limitWords(bed.low, bed.high) }),
  });
  const [first, last] = [words(ranks[0]), words(ranks.at(-1))];
  const days = { from: shortDay(from), to: shortDay(to) };
  if (ranks.length === 1) return t('findings.beds_one', { ...days, ...first });
  const said = t('findings.beds_sentence', {
    ...days,
    ...first,
    ...{ bed2: last.bed, mean2: last.mean, limits2: last.limits },
  });
  return `${said} ${t(apart(ranks) ? 'findings.beds_apart' : 'findings.beds_alike', first)}`;
}
