/** A tapped place: its numbers of the week, how sure they are, what they mean, and what stood there before. */
import type { ComponentChildren } from 'preact';
import { Button, ButtonLink, Caution, Sheet } from '../../../parts';
import { decimals, measure, type TextKey, t } from '../../../text';
import { type Caution as CautionName, cautionsFor, type TreatmentKind } from '../../diary/treatment';
import { dayPlus, dayWords } from '../../forms/local_time';
import type { TemperatureUnit } from '../../readings/model';
import { reasonWords } from '../../traps/words';
import { areaOf } from '../model';
import type { Shape } from './ground';
import { soonAgain, USUAL_GAP, yearsOf } from './history';
import { weekWords } from './layer_bar';
import { figure, slugWords, soilWords, treatmentWords, type WeekFacts } from './marks';
import type { GrownCrop, WormBed } from './week_ground';
import type { BedWeek } from './week_slugs';
import type { Week } from './weeks';

type Props = {
  shape: Shape;
  facts: WeekFacts;
  crops: readonly GrownCrop[];
  week: Week;
  today: string;
  unit: TemperatureUnit;
  /** False on a phone that only reads. */
  acts: false | { edit: () => void; move: () => void };
  onClose: () => void;
};

export function BedSheet({ shape, facts, crops, week, today, unit, acts, onClose }: Props) {
  const { place } = shape;
  const soil = facts.soil.get(place.id);
  const treated = facts.treated.get(place.id) ?? [];
  const growing = facts.crops.get(place.id) ?? [];
  return (
    <Sheet title={place.label ?? ''} onClose={onClose}>
      <p class="soft">{sizeWords(shape)}</p>
      <p class="bed-week">
        <strong>{weekWords(week, today)}</strong>
      </p>
      <Part title={t('sketch.layer_slugs')}>
        <Slugs bed={facts.slugs.get(place.id)} />
      </Part>
      <Part title={t('sketch.worms_title')}>
        <Worms bed={facts.worms.get(place.id)} n_ranked={facts.n_ranked} />
      </Part>
      <Part title={t('sketch.treatments_title')}>
        {treated.length === 0 && <p class="soft">{t('sketch.treated_none')}</p>}
        <ul>
          {treated.map((one) => (
            <li key={one.id}>
              {treatmentWords(one)}
              {one.product ? ` (${one.product})` : ''}
              {one.harvest_interval_days !== undefined && (
                <strong>
                  {' '}
                  {t('treatment.harvest_from', {
                    day: dayWords(dayPlus(one.day, one.harvest_interval_days), today),
                  })}
                </strong>
              )}
            </li>
          ))}
        </ul>
        {treated.some((one) => one.kind === 'nematodes' || one.kind === 'brew') && (
          <p class="soft small">{t('treatment.active_until')}</p>
        )}
        {cautions(treated.map((one) => one.kind)).map((name) => (
          <Caution key={name}>{t(`treatment.caution_${name}` as TextKey)}</Caution>
        ))}
      </Part>
      <Part title={t('sketch.layer_soil')}>
        {soil ? <p>{soilWords(soil, unit)}</p> : <p class="soft">{t('sketch.soil_none')}</p>}
      </Part>
      <Part title={t('sketch.layer_crops')}>
        <p class={growing.length === 0 ? 'soft' : ''}>
          {growing.length === 0 ? t('sketch.crops_none') : growing.map(cropWords).join(', ')}
        </p>
      </Part>
      <History shape={shape} crops={crops} today={today} />
      <ButtonLink icon="camera" to={`/photos/of/${place.id}`}>
        {t('photos.link')}
      </ButtonLink>
      {acts && (
        <div class="row">
          <Button icon="edit" onClick={acts.edit}>
            {t('sketch.edit_place')}
          </Button>
          <Button icon="plot" onClick={acts.move}>
            {t('sketch.move_place')}
          </Button>
        </div>
      )}
    </Sheet>
  );
}

function Part({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <section class="bed-part">
      <h3>{title}</h3>
      {children}
    </section>
  );
}

export function sizeWords({ place, placed }: Shape): string {
  const area = areaOf(place);
  const kind = t(`forms.place_${place.kind as 'bed'}`);
  const size =
    place.length_m !== undefined && place.width_m !== undefined
      ? t('plot.size', { length: measure(place.length_m), width: measure(place.width_m) })
      : '';
  const grown = area === undefined ? '' : t('plot.area', { area: decimals(area) });
  return [kind, size, grown, placed ? '' : t('sketch.not_placed')].filter(Boolean).join(' · ');
}

/** The four states one by one; what is not settled stands at the side, never in the mean. */
function Slugs({ bed }: { bed: BedWeek | undefined }) {
  if (!bed) return <p class="soft">{t('sketch.slugs_no_board')}</p>;
  const states: [TextKey, number][] = [
    ['sketch.n_counted', bed.n_counted],
    ['sketch.n_none', bed.n_none],
    ['sketch.n_not_turned', bed.n_not_turned],
    ['sketch.n_spoiled', bed.n_spoiled],
    ['sketch.n_no_record', bed.n_no_record],
  ];
  const said = states.filter(([, n]) => n > 0);
  return (
    <>
      <p>
        <strong>{slugWords(bed)}</strong>
      </p>
      {said.length > 0 && <p>{said.map(([key, n]) => t(key, { n })).join(' · ')}</p>}
      {bed.at_side.length > 0 && (
        <p>
          {t(bed.n_disputed > 0 ? 'sketch.at_side' : 'sketch.at_side_kept', {
            numbers: bed.at_side.map((numbers) => numbers.join(' / ')).join('; '),
          })}
        </p>
      )}
      {bed.mean !== null && (
        <p class="soft small">
          {t(bed.model === 'poisson' ? 'sketch.slugs_poisson' : 'sketch.slugs_clumped', { n: bed.n_boards })}
        </p>
      )}
    </>
  );
}

function Worms({ bed, n_ranked }: { bed: WormBed | undefined; n_ranked: number }) {
  if (!bed) return <p class="soft">{t('sketch.worms_none')}</p>;
  const { caught, n_traps: n, per_trap, low, high, miss, left_out, disputed } = bed.summary;
  const reasons = [...new Set(left_out.flatMap((item) => item.validity.reasons))];
  return (
    <>
      {per_trap === null || low === null || high === null ? (
        <p>{t('traps.bed_no_valid')}</p>
      ) : (
        <>
          <p>
            <strong>
              {caught === 0
                ? t('traps.bed_nil', { n, high: figure(high) })
                : t('traps.bed_mean', { mean: figure(per_trap), low: figure(low), high: figure(high) })}
            </strong>
          </p>
          {miss !== undefined && <p>{t('traps.bed_miss', { n, p: Math.round(100 * miss) })}</p>}
          {bed.rank !== undefined && (
            <p>
              {t(bed.rank === 1 ? 'sketch.worms_lowest' : 'sketch.worms_rank', {
                rank: bed.rank,
                n: n_ranked,
              })}
            </p>
          )}
          <p class="soft small">{t('sketch.worms_rule')}</p>
        </>
      )}
      {left_out.length > 0 && (
        <p class="soft small">{t('traps.bed_left_out', { n: left_out.length, why: reasonWords(reasons) })}</p>
      )}
      {disputed > 0 && <p class="soft small">{t('traps.bed_disputed', { n: disputed })}</p>}
    </>
  );
}

function cautions(kinds: readonly string[]): CautionName[] {
  return [...new Set(kinds.flatMap((kind) => cautionsFor(kind as TreatmentKind) ?? []))];
}

function cropWords({ kind, variety }: { kind: string; variety?: string }): string {
  return variety ? `${kind} (${variety})` : kind;
}

function History({ shape, crops, today }: { shape: Shape; crops: readonly GrownCrop[]; today: string }) {
  const { place } = shape;
  if (place.kind === 'path' || place.kind === 'store') return null;
  const years = yearsOf(crops, place, Number(today.slice(0, 4)));
  const again = soonAgain(crops, place.id);
  return (
    <Part title={t('sketch.history')}>
      {place.broken_year === undefined && <p class="soft">{t('sketch.grass_unknown')}</p>}
      <table class="history">
        <thead>
          <tr>
            <th scope="col">{t('sketch.col_year')}</th>
            <th scope="col">{t('sketch.col_stood')}</th>
            <th scope="col">{t('sketch.col_grass')}</th>
          </tr>
        </thead>
        <tbody>
          {years.map((year) => (
            <tr key={year.year}>
              <th scope="row" class="figures">
                {year.year}
              </th>
              <td>
                {year.crops.length > 0 ? year.crops.map(cropWords).join(', ') : t('sketch.nothing_noted')}
              </td>
              <td class="figures">{year.from_grass ?? ''}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {again.map((one) => (
        <p key={one.kind}>
          {t('sketch.again', { crop: one.kind, years: one.years.join(', '), gap: USUAL_GAP })}
        </p>
      ))}
      {place.broken_year !== undefined && <p class="soft small">{t('plot.broken_hint')}</p>}
    </Part>
  );
}
