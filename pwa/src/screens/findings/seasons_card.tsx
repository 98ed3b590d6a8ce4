import { useEffect, useMemo, useState } from 'preact/hooks';
import { Card, SelectField } from '../../parts';
import { Framed } from '../../parts/chart';
import { decimals, t } from '../../text';
import { shortDay } from './coming_up_picture';
import type { Point } from './model';
import { dayOf, seasonWeek, weekMs } from './season_days';
import { seasonNumbers, seasonPicture } from './season_picture';
import { compareSeasons, type SeasonComparison, seasonWeeks } from './seasons';

type Props = {
  points: readonly Point[];
  /** Years still to be read. */
  left: number;
  onWanted: () => void;
  source: string;
};

/** The same days of the year over each other. */
export function Seasons({ points, left, onWanted, source }: Props) {
  useEffect(onWanted, []);
  const weeks = useMemo(() => seasonWeeks(points), [points]);
  const years = [...weeks.keys()].reverse();
  const [chosen, setChosen] = useState<number>();
  const [beside, setBeside] = useState<number>();
  const year = chosen !== undefined && years.includes(chosen) ? chosen : years[0];
  const others = years.filter((one) => one !== year);
  const other = beside !== undefined && others.includes(beside) ? beside : others[0];
  const picture = useMemo(
    () => (year === undefined ? undefined : seasonPicture(weeks, year, other)),
    [weeks, year, other],
  );
  const numbers = useMemo(() => seasonNumbers(weeks), [weeks]);
  const compared = useMemo(
    () => (year === undefined || other === undefined ? undefined : compareSeasons(points, year, other)),
    [points, year, other],
  );
  // Another year may still come: until then nothing is said of there being one alone.
  const alone = left > 0 && picture !== undefined && other === undefined;
  return (
    <Card title={t('findings.seasons')} icon="findings">
      {left > 0 && !alone && (
        <p class="soft small" role="status">
          {t('findings.years_left', { n: left })}
        </p>
      )}
      {picture === undefined || year === undefined ? (
        <p>{t('findings.seasons_none')}</p>
      ) : (
        <Framed
          picture={picture}
          numbers={numbers}
          sentence={alone ? t('findings.years_left', { n: left }) : sentenceOf(compared, year, other)}
          source={source}
          says={(x) => weekWords(x, weeks, year, other)}
        >
          {others.length > 0 && other !== undefined && (
            <div class="findings-choices">
              <SelectField
                label={t('findings.season')}
                value={String(year)}
                choices={years.map((one) => ({ value: String(one), label: String(one) }))}
                onChoose={(value) => setChosen(Number(value))}
              />
              <SelectField
                label={t('findings.beside')}
                value={String(other)}
                choices={others.map((one) => ({ value: String(one), label: String(one) }))}
                onChoose={(value) => setBeside(Number(value))}
              />
            </div>
          )}
        </Framed>
      )}
    </Card>
  );
}

function sentenceOf(compared: SeasonComparison | undefined, year: number, other: number | undefined): string {
  if (other === undefined) return t('findings.seasons_one', { year });
  if (!compared) return t('findings.seasons_apart', { year, other });
  const { one, other: two } = compared;
  return [
    t('findings.seasons_sentence', {
      ...{ year, other, from: shortDay(`2000-${compared.from}`), to: shortDay(`2000-${compared.to}`) },
      ...{ mean: decimals(one.mean), n: one.n, q1: decimals(one.q1), q3: decimals(one.q3) },
      ...{ mean2: decimals(two.mean), n2: two.n, q1b: decimals(two.q1), q3b: decimals(two.q3) },
    }),
    t(`findings.seasons_${compared.verdict}`, { other }),
  ].join(' ');
}

function weekWords(
  x: number,
  weeks: ReturnType<typeof seasonWeeks>,
  year: number,
  other: number | undefined,
): string {
  const at = weekMs(seasonWeek(dayOf(x)));
  const said = [year, ...(other === undefined ? [] : [other])].map((one) => {
    const week = weeks.get(one)?.find((found) => found.at === at);
    return week
      ? t('findings.week_said', { year: one, mean: decimals(week.mean), n: week.n_rounds })
      : t('findings.week_none', { year: one });
  });
  return `${t('findings.week_about', { day: shortDay(dayOf(at)) })}: ${said.join('; ')}`;
}
