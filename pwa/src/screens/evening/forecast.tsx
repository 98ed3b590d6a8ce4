import type { FrostDecision } from '../../domain/frost_decision';
import { Card, Caution, Notice } from '../../parts';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { FrostTable } from '../warnings/frost_table';
import { sunOfNight } from '../warnings/night_facts';
import { NightPicture } from '../warnings/night_picture';
import { chanceWords, degreeWords } from '../warnings/numbers';
import { worstOf } from '../warnings/worst';
import { decide, type EveningFacts, type Tonight } from './tonight';

/** `seen`: the lowest that was read since that evening, by place. */
type Props = { evening: EveningFacts; seen: Record<string, number>; tonight: Tonight; facts: PlotFacts };

/** The night at each place and for each crop, worked out on the phone while the numbers are typed. */
export function Forecast({ evening, seen, tonight, facts }: Props) {
  const told = decide(tonight, evening, seen);
  if (!told) return null;
  const warns = told.fires && tonight.on;
  return (
    <Card
      title={t('evening.tonight')}
      icon={warns ? 'frost' : 'moon'}
      tone={warns && isLikely(told) ? 'bad' : 'glow'}
    >
      <div class="stack-tight" aria-live="polite">
        <p class="night-chance">{verdictWords(told, tonight, facts)}</p>
        {told.p !== null && <ChanceBar p={told.p} threshold={told.threshold} />}
        <p>{thresholdWords(told, tonight)}</p>
      </div>
      {(!evening.sky || !evening.wind) && <p class="small">{t('evening.say_sky')}</p>}
      {!told.clear && <Notice tone="glow">{t('evening.not_still')}</Notice>}
      {warns && <Todo told={told} tonight={tonight} />}
      <Curve evening={evening} told={told} tonight={tonight} facts={facts} />
      <FrostTable numbers={{ ...told }} data={{ places: tonight.labels }} facts={facts} />
      <p class="small">{lowestWords(told, facts)}</p>
      <p class="soft small">
        {t(`evening.basis_${tonight.basis}`, { n: tonight.n_nights })}{' '}
        {told.inside_fitted_range === false && told.fitted_to_plot && t('evening.outside')}{' '}
        {told.unknown.length > 0 && t('evening.unknown', { kinds: told.unknown.join(', ') })}
      </p>
      <p class="soft small">{t('evening.source')}</p>
    </Card>
  );
}

/** More than an even chance: "likely" in CAP 1.2. */
export function isLikely(told: FrostDecision): boolean {
  return told.clear && told.p !== null && told.p > 0.5;
}

/** "Frost may hurt Tomato at Tunnel: chance 62 %", or that nothing is to be feared. */
export function verdictWords(told: FrostDecision, tonight: Tonight, facts: PlotFacts): string {
  const worst = worstOf({ ...told });
  const where = (worst.place_id && tonight.labels.get(worst.place_id)) || t('warnings.in_the_open');
  if (told.fires && !told.by_chance) {
    return t('evening.verdict_own', { limit: degreeWords(tonight.settings.at_c ?? 0, facts.unit) });
  }
  if (told.p === null) return t('evening.verdict_nothing');
  const p = chanceWords(told.p);
  if (worst.kind === 'air frost') return t('evening.frost_chance', { p });
  return t(told.fires ? 'evening.verdict_hurt' : 'evening.verdict_spared', {
    kind: worst.kind ?? '',
    where,
    p,
  });
}

function thresholdWords(told: FrostDecision, tonight: Tonight): string {
  if (!tonight.on) return t('evening.switched_off');
  if (told.p === null || told.threshold === null) return '';
  const share = chanceWords(Math.min(1, told.threshold));
  return t(told.by_chance ? 'evening.above' : 'evening.below', { p: share });
}

/** What growers commonly do, for the kinds of places in danger. */
function Todo({ told, tonight }: { told: FrostDecision; tonight: Tonight }) {
  const covers = told.places
    .filter(({ crops }) => crops.some(({ p }) => p !== null && p > (told.threshold ?? 1)))
    .map(({ place_id }) => ['tunnel', 'frame'].includes(tonight.kinds[place_id ?? ''] ?? ''));
  return (
    <>
      {!covers.every(Boolean) || covers.length === 0 ? <p>{t('evening.do_open')}</p> : null}
      {covers.some(Boolean) || covers.length === 0 ? <p>{t('evening.do_covered')}</p> : null}
      <Caution>{t('evening.caution_covers')}</Caution>
    </>
  );
}

/** The night of the place in the greatest danger; of the open air where nothing stands. */
function Curve({ evening, told, tonight, facts }: Omit<Props, 'seen'> & { told: FrostDecision }) {
  const sun = sunOfNight(tonight.night, facts);
  const worst = worstOf({ ...told });
  if (!sun || worst.min_c === undefined) return null;
  const evening_c = evening.evening_c + worst.offset_c;
  return (
    <NightPicture
      facts={facts}
      night={{
        evening_c,
        min_c: Math.min(worst.min_c, evening_c),
        low_c: worst.low_c ?? null,
        high_c: worst.high_c ?? null,
        line_c: worst.line_c,
        ...sun,
      }}
    />
  );
}

/** The chance as a length with a notch where acting pays; the words beside it say the same. */
function ChanceBar({ p, threshold }: { p: number; threshold: number | null }) {
  return (
    <svg
      class="chance-bar"
      viewBox="0 0 100 8"
      preserveAspectRatio="none"
      aria-hidden="true"
      focusable="false"
    >
      <rect class="chance-ground" x="0" y="1" width="100" height="6" rx="3" />
      <rect class="chance-fill" x="0" y="1" width={Math.max(1, 100 * p)} height="6" rx="3" />
      {threshold !== null && threshold < 1 && (
        <rect class="chance-notch" x={100 * threshold - 0.5} y="0" width="1" height="8" />
      )}
    </svg>
  );
}

export function lowestWords(told: FrostDecision, facts: PlotFacts): string {
  return t('evening.lowest', {
    min: degreeWords(told.min_c, facts.unit),
    low: degreeWords(told.low_c, facts.unit),
    high: degreeWords(told.high_c, facts.unit),
  });
}
