import type { FrostTonight } from '../../agronomy';
import { Card, Notice } from '../../parts';
import { decimals, t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { inUnit } from '../readings/model';
import type { EveningData } from './index';
import { ENOUGH_NIGHTS, type EveningDraft, forecasts, isStill, type PlaceForecast } from './model';

type Props = {
  air: { air_c: number; dew_c: number };
  draft: EveningDraft;
  facts: PlotFacts;
  data: EveningData;
};

/** The night at each air thermometer, worked out on the phone. */
export function Forecasts({ air, draft, facts, data }: Props) {
  const clock = { time_zone: facts.time_zone, habit: facts.habit };
  const told = forecasts(air, data.thermometers, data.evenings, data.readings, clock);
  if (told.length === 0) return <Notice>{t('evening.no_stations')}</Notice>;
  const shared = sharedCautions(told);
  const placeLabel = new Map(data.places.map((place) => [place.id, place.label]));
  return (
    <Card title={t('evening.tonight')} icon="moon" tone="glow">
      {(!draft.sky || !draft.wind) && <p class="small">{t('evening.say_sky')}</p>}
      {draft.sky && draft.wind && !isStill(draft) && <Notice tone="glow">{t('evening.not_still')}</Notice>}
      <ul class="nights">
        {told.map((place) => (
          <Night
            key={place.station.id}
            place={place}
            shared={shared}
            where={[place.station.label, placeLabel.get(place.station.place_id ?? '')]
              .filter(Boolean)
              .join(' · ')}
            facts={facts}
          />
        ))}
      </ul>
      {shared.map((words) => (
        <p key={words} class="soft small">
          {words}
        </p>
      ))}
      <p class="soft small">{t('evening.source')}</p>
    </Card>
  );
}

type NightProps = { place: PlaceForecast; shared: readonly string[]; where: string; facts: PlotFacts };

function Night({ place, shared, where, facts }: NightProps) {
  const { forecast, n_nights } = place;
  if (!forecast) {
    return (
      <li class="night">
        <h3>{where}</h3>
        <p class="soft">{t('evening.covered', { n: n_nights, need: ENOUGH_NIGHTS })}</p>
      </li>
    );
  }
  const [frost, hard] = forecast.chances;
  return (
    <li class="night">
      <h3>{where}</h3>
      {frost?.p != null && (
        <>
          <p class="night-chance">{t('evening.frost_chance', { p: percent(frost.p) })}</p>
          <ChanceBar p={frost.p} />
        </>
      )}
      <p>{lowestWords(forecast, facts)}</p>
      {hard?.p != null && (
        <p class="soft">
          {t('evening.hard_chance', { limit: degrees(hard.critical_c, facts), p: percent(hard.p) })}
        </p>
      )}
      <p class="soft small">
        {forecast.fitted_to_plot ? t('evening.own_nights', { n: n_nights }) : null}{' '}
        {forecast.cautions.filter((words) => !shared.includes(words)).join(' ')}
      </p>
    </li>
  );
}

/** Cautions that hold for every place are said once, under the list. */
function sharedCautions(told: readonly PlaceForecast[]): string[] {
  const lists = told.flatMap((place) => (place.forecast ? [place.forecast.cautions] : []));
  return (lists[0] ?? []).filter((words) => lists.every((list) => list.includes(words)));
}

/** The chance as a length; the words beside it say the same. */
function ChanceBar({ p }: { p: number }) {
  return (
    <svg
      class="chance-bar"
      viewBox="0 0 100 6"
      preserveAspectRatio="none"
      aria-hidden="true"
      focusable="false"
    >
      <rect class="chance-ground" x="0" y="0" width="100" height="6" rx="3" />
      <rect class="chance-fill" x="0" y="0" width={Math.max(1, 100 * p)} height="6" rx="3" />
    </svg>
  );
}

function degrees(celsius: number, facts: PlotFacts): string {
  const value = inUnit({ value: celsius, unit: 'degC' }, facts.unit);
  return `${decimals(value).replace('-', '\u2212')} ${t(`forms.unit_${facts.unit}`)}`;
}

function lowestWords(forecast: FrostTonight, facts: PlotFacts): string {
  const min = degrees(forecast.min_c, facts);
  if (forecast.low_c === null || forecast.high_c === null) return t('evening.lowest_only', { min });
  return t('evening.lowest', {
    min,
    low: degrees(forecast.low_c, facts),
    high: degrees(forecast.high_c, facts),
  });
}

function percent(p: number): string {
  if (p < 0.01) return t('evening.p_under');
  if (p > 0.99) return t('evening.p_over');
  return t('evening.p', { n: Math.round(100 * p) });
}
