import { useEffect, useMemo, useState } from 'preact/hooks';
import { Card, Segmented, SelectField } from '../../parts';
import { Framed } from '../../parts/chart';
import { decimals, t } from '../../text';
import { daysBetween, dayWords } from '../forms/local_time';
import type { TemperatureUnit } from '../readings/model';
import { shortDay } from './coming_up_picture';
import { daysAhead, type HeatSum, heatSum } from './heat_sums';
import type { Span } from './model';
import { dayOf } from './season_days';
import { frostDays, type Glass, type WarmDay } from './warm_days';
import { heatNumbers, heatPicture, shownIn, warmNumbers, warmPicture } from './warm_pictures';
import { warmOf, type YearDigest } from './years';

type Props = {
  glasses: readonly Glass[];
  label: ReadonlyMap<string, string>;
  digests: readonly YearDigest[];
  /** Years still to be read: until then nothing is said of what was never read. */
  left: number;
  span: Span;
  unit: TemperatureUnit;
  today: string;
  source: string;
  onWanted: () => void;
};
const SPAN_DAYS = { month: 31, season: 183, all: 100_000 } as const;
const BASES = ['0', '5', '10'] as const;
type Base = (typeof BASES)[number];

/** Lowest and highest of each day with the frost line, and the warmth gathered since New Year. */
export function Warmth({ glasses, label, digests, left, span, unit, today, source, onWanted }: Props) {
  useEffect(onWanted, []);
  const read = glasses.filter((glass) => digests.some((digest) => digest.warm[glass.id]));
  const [chosen, setChosen] = useState('');
  const glass = read.find((one) => one.id === chosen) ?? read[0];
  const days = useMemo(() => (glass ? warmOf(digests, glass.id) : []), [digests, glass]);
  const name = (one: Glass): string =>
    [one.label, one.place_id && label.get(one.place_id)].filter(Boolean).join(', ');
  return (
    <Card title={t('findings.warmth')} icon="thermometer">
      {!glass || days.length === 0 ? (
        <p>{left > 0 ? t('findings.years_left', { n: left }) : t('findings.warmth_none')}</p>
      ) : (
        <>
          <SelectField
            label={t('findings.thermometer')}
            value={glass.id}
            choices={read.map((one) => ({ value: one.id, label: name(one) }))}
            onChoose={setChosen}
          />
          <Days days={days} glass={glass} span={span} unit={unit} today={today} source={source} />
          {glass.exposure !== 'soil' && <Heat days={days} unit={unit} today={today} source={source} />}
        </>
      )}
    </Card>
  );
}

type DaysProps = {
  days: readonly WarmDay[];
  glass: Glass;
  span: Span;
  unit: TemperatureUnit;
  today: string;
  source: string;
};

function Days({ days, glass, span, unit, today, source }: DaysProps) {
  const shown = useMemo(() => {
    const last = days.at(-1)?.day ?? today;
    return days.filter((day) => daysBetween(day.day, last) <= SPAN_DAYS[span]);
  }, [days, span]);
  const soil = glass.exposure === 'soil';
  const picture = useMemo(() => warmPicture(shown, soil, unit), [shown, soil, unit]);
  const numbers = useMemo(() => warmNumbers(shown, unit), [shown, unit]);
  const says = (x: number): string => {
    const day = shown.find((one) => one.day === dayOf(x));
    return day ? `${dayWords(day.day, today)}: ${dayNumbers(day, unit)}` : '';
  };
  return (
    <Framed
      picture={picture}
      numbers={numbers}
      sentence={soil ? soilSentence(shown, unit, today) : frostSentence(shown, unit, today)}
      source={source}
      says={says}
    />
  );
}

function degrees(c: number, unit: TemperatureUnit): string {
  return `${decimals(shownIn(unit, c)).replace('-', '\u2212')}\u00a0${t(`forms.unit_${unit}`)}`;
}

function dayNumbers(day: WarmDay, unit: TemperatureUnit): string {
  const said = [
    ...(day.min === null ? [] : [t('findings.min_is', { c: degrees(day.min, unit) })]),
    ...(day.max === null ? [] : [t('findings.max_is', { c: degrees(day.max, unit) })]),
    ...(day.now === null ? [] : [t('findings.now_is', { c: degrees(day.now, unit) })]),
  ];
  return said.length > 0 ? said.join(', ') : t(`findings.warm_${day.state}`);
}

function frostSentence(days: readonly WarmDay[], unit: TemperatureUnit, today: string): string {
  const read = days.filter((day) => day.min !== null);
  if (read.length === 0) return t('findings.frost_unread');
  const frosts = frostDays(days);
  const coldest = read.reduce((a, b) => ((b.min ?? 0) < (a.min ?? 0) ? b : a));
  const all = daysBetween(days[0]?.day ?? today, days.at(-1)?.day ?? today) + 1;
  const facts = {
    ...{ n: frosts.length, read: read.length, unread: all - read.length },
    ...{ coldest: degrees(coldest.min ?? 0, unit), day: dayWords(coldest.day, today) },
  };
  if (frosts.length === 0) return t('findings.frost_none', facts);
  return t('findings.frost_some', { ...facts, last: dayWords(frosts.at(-1)?.day ?? today, today) });
}

function soilSentence(days: readonly WarmDay[], unit: TemperatureUnit, today: string): string {
  const read = days.filter((day) => day.now !== null);
  const last = read.at(-1);
  if (!last) return t('findings.soil_unread');
  const recent = read.slice(-7).map((day) => day.now ?? 0);
  const mean = recent.reduce((sum, value) => sum + value, 0) / recent.length;
  return t('findings.soil_sentence', {
    ...{ c: degrees(last.now ?? 0, unit), day: dayWords(last.day, today), n: recent.length },
    ...{
      mean: degrees(mean, unit),
      low: degrees(Math.min(...recent), unit),
      high: degrees(Math.max(...recent), unit),
    },
  });
}

type HeatProps = { days: readonly WarmDay[]; unit: TemperatureUnit; today: string; source: string };

function Heat({ days, unit, today, source }: HeatProps) {
  const [base, setBase] = useState<Base>('5');
  const year = Number((days.at(-1)?.day ?? today).slice(0, 4));
  const [one, other] = useMemo(
    () => [heatSum(days, year, Number(base), today), heatSum(days, year - 1, Number(base), today)],
    [days, year, base, today],
  );
  const baseWords = decimals(shownIn(unit, Number(base)), 0);
  const picture = useMemo(
    () => one && heatPicture({ year, sum: one }, other && { year: year - 1, sum: other }, baseWords, unit),
    [one, other, unit],
  );
  if (!one || !picture) return <p class="soft">{t('findings.heat_none')}</p>;
  const years = [{ year, sum: one }, ...(other ? [{ year: year - 1, sum: other }] : [])];
  return (
    <>
      <h3 class="findings-part">{t('findings.heat')}</h3>
      <Framed
        picture={picture}
        numbers={heatNumbers(years, unit)}
        sentence={heatSentence(one, other, year, baseWords, unit)}
        source={source}
        says={(x) => heatWords(x, years, unit)}
      >
        <Segmented
          label={t('findings.base')}
          value={base}
          choices={BASES.map((value) => ({
            value,
            label: `${decimals(shownIn(unit, Number(value)), 0)}\u00a0${t(`forms.unit_${unit}`)}`,
          }))}
          onChoose={setBase}
        />
      </Framed>
    </>
  );
}

const factorOf = (unit: TemperatureUnit): number => (unit === 'degF' ? 1.8 : 1);

function heatRange(day: { low: number; high: number }, unit: TemperatureUnit): string {
  const [low, high] = [decimals(day.low * factorOf(unit), 0), decimals(day.high * factorOf(unit), 0)];
  return low === high ? low : t('parts.to', { low, high });
}

function heatSentence(
  one: HeatSum,
  other: HeatSum | undefined,
  year: number,
  base: string,
  unit: TemperatureUnit,
): string {
  const last = one.days.at(-1);
  if (!last) return t('findings.heat_none');
  const facts = {
    ...{ sum: heatRange(last, unit), unit: t(`forms.unit_${unit}`), base },
    day: shortDay(last.day),
  };
  const said =
    one.n_missing === 0
      ? t('findings.heat_sentence_all', facts)
      : t('findings.heat_sentence', { ...facts, n: one.n_missing });
  const ahead = other && daysAhead(one, other);
  const told =
    ahead === undefined
      ? []
      : ahead === 0
        ? [t('findings.heat_level', { other: year - 1 })]
        : [
            t(ahead > 0 ? 'findings.heat_ahead' : 'findings.heat_behind', {
              n: Math.abs(ahead),
              other: year - 1,
            }),
          ];
  const broken = one.broken_on ? [t('findings.heat_broken', { day: shortDay(one.broken_on) })] : [];
  return [said, ...told, ...broken].join(' ');
}

function heatWords(
  x: number,
  years: readonly { year: number; sum: HeatSum }[],
  unit: TemperatureUnit,
): string {
  const at = dayOf(x).slice(5);
  const said = years.flatMap(({ year, sum }) => {
    const day = sum.days.find((one) => one.day.slice(5) === at);
    return day ? [`${year}: ${heatRange(day, unit)}`] : [];
  });
  return `${shortDay(dayOf(x))}: ${said.join('; ')}`;
}
