/** One line for every record, in words. */
import { decimals, intervalWords, type TextKey, t } from '../../text';
import { dayPlus, dayWords, localDay } from '../forms/local_time';
import { inUnit, type Quantity, type TemperatureUnit } from '../readings/model';
import { stageCode } from './crops';
import { strengthOf } from './cultures';
import type { DiaryView, Entry, RoundTally } from './model';
import { densityOf, shareOf } from './samples';

export interface Names {
  station: ReadonlyMap<string, string>;
  place: ReadonlyMap<string, string>;
  crop: ReadonlyMap<string, string>;
  unit: TemperatureUnit;
  time_zone: string;
}

/** A dot that stays with the words before it. */
const DOT = '\u00a0· ';

const has = (value: unknown): boolean => value !== undefined && value !== null && value !== '';

export function choiceWords(value: unknown): string {
  return has(value) ? t(`diary.c_${String(value)}` as TextKey) : '';
}

export function degrees(value: unknown, unit: TemperatureUnit): string {
  if (!has(value)) return '';
  const shown = decimals(inUnit(value as Quantity, unit));
  return `${shown.replace('-', '\u2212')}\u00a0${t(`forms.unit_${unit}`)}`;
}

/** What kind of thing it was, and at which station or place. */
export function titleOf(view: DiaryView, names: Names): string {
  const { body } = view;
  if (view.type === 'round') return t(`diary.round_${String(body.kind ?? 'dawn')}` as TextKey);
  const place = (id: unknown) => names.place.get(String(id)) ?? '';
  if (view.type === 'treatment') {
    const where = Array.isArray(body.place_ids) ? body.place_ids.map(place).filter(Boolean).join(', ') : '';
    return [choiceWords(body.kind), where].filter(Boolean).join(DOT);
  }
  if (view.type === 'crop')
    return [String(body.kind ?? ''), body.variety, place(body.place_id)].filter(Boolean).join(DOT);
  if (view.type === 'crop_event')
    return [names.crop.get(String(body.crop_id)), choiceWords(body.what)].filter(Boolean).join(DOT);
  const where = names.station.get(String(body.station_id)) ?? place(body.place_id);
  const kind =
    view.type === 'trap_catch' && !has(body.observed_at)
      ? t('diary.trap_set')
      : t(`diary.type_${view.type}` as TextKey);
  return [kind, where].filter(Boolean).join(DOT);
}

export function roundWords(tally: RoundTally): string {
  const boards = tally.n_counted + tally.n_none;
  return [
    t('diary.round_line', { total: tally.total, boards }),
    ...(tally.n_missed > 0 ? [t('diary.round_missed', { n: tally.n_missed })] : []),
    ...(tally.n_disputed > 0 ? [t('diary.round_disputed', { n: tally.n_disputed })] : []),
    ...(tally.n_kept > 0 ? [t('diary.round_kept', { n: tally.n_kept })] : []),
  ].join(', ');
}

function stateWords(body: Record<string, unknown>): string {
  if (body.state === 'counted' && has(body.count)) return t('diary.count_line', { n: Number(body.count) });
  return has(body.state) ? t(`diary.state_${String(body.state)}` as TextKey) : '';
}

/** A growth stage in the words of this language; as it stands when somebody typed it. */
export function stageWords(stage: unknown): string {
  const code = stageCode(stage);
  return code ? t(`crops.stage_${code}`) : String(stage ?? '');
}

const WORDS: Record<string, (body: Record<string, unknown>, names: Names) => string[]> = {
  slug_count: (body) => [
    stateWords(body),
    ...(Number(body.egg_clusters ?? 0) > 0 ? [t('diary.eggs_line', { n: Number(body.egg_clusters) })] : []),
    ...(body.set_aside === true ? [t('diary.set_aside')] : []),
  ],
  trap_catch: (body, names) => [
    body.state === 'counted'
      ? has(body.beetles)
        ? t('diary.beetles_line', { n: Number(body.beetles) })
        : t('diary.wireworms_line', { n: Number(body.wireworms ?? 0) })
      : stateWords(body),
    degrees(body.soil, names.unit),
  ],
  soil_sample: (body) => [
    t('diary.found_line', { n: Number(body.found ?? 0), cores: Number(body.cores ?? 0) }),
    densityWords(body),
  ],
  temperature: (body, names) => [
    has(body.current) ? t('readings.value_current', { value: degrees(body.current, names.unit) }) : '',
    has(body.max) ? t('readings.value_max', { value: degrees(body.max, names.unit) }) : '',
    has(body.min) ? t('readings.value_min', { value: degrees(body.min, names.unit) }) : '',
  ],
  evening: (body, names) => [
    degrees(body.air, names.unit),
    has(body.wet) ? `${t('diary.f_wet')} ${degrees(body.wet, names.unit)}` : '',
    has(body.dew) ? `${t('diary.f_dew')} ${degrees(body.dew, names.unit)}` : '',
    has(body.humidity_percent) ? `${decimals(Number(body.humidity_percent), 0)} %` : '',
    choiceWords(body.sky),
    choiceWords(body.wind),
  ],
  treatment: (body, names) => [has(body.product) ? String(body.product) : '', harvestWords(body, names)],
  crop_event: (body) => [
    has(body.kg) ? `${decimals(Number(body.kg))} kg` : '',
    has(body.count) ? t('crops.pieces', { n: Number(body.count) }) : '',
    stageWords(body.stage),
  ],
  damage: (body) => [
    t('diary.damage_line', { damaged: Number(body.damaged ?? 0), examined: Number(body.examined ?? 0) }),
    shareWords(body),
    has(body.cause) ? String(body.cause) : '',
  ],
  culture: (body) => [has(body.label) ? String(body.label) : '', perMl(body)],
  note: (body) => [String(body.text ?? '')],
};

/** "5 to 20 %": the share of the whole, by Wilson's interval. */
function shareWords(body: Record<string, unknown>): string {
  const share = shareOf(Number(body.damaged ?? 0), Number(body.examined ?? 0));
  return share ? `${intervalWords(share.low, share.up_to ?? share.high, share.high < 10 ? 1 : 0)} %` : '';
}

function densityWords(body: Record<string, unknown>): string {
  const density = densityOf(body);
  if (!density) return '';
  const high = density.found === 0 ? density.up_to : density.high;
  return t('samples.per_m2', { per_m2: intervalWords(density.low, high, 0) });
}

function perMl(body: Record<string, unknown>): string {
  const strength = strengthOf(body);
  return strength ? t('cultures.strength', { per_ml: decimals(strength.per_ml, 0) }) : '';
}

function harvestWords(body: Record<string, unknown>, names: Names): string {
  if (!has(body.harvest_interval_days) || !has(body.observed_at)) return '';
  const treated = localDay(String(body.observed_at), names.time_zone);
  const day = dayPlus(treated, Number(body.harvest_interval_days));
  return t('diary.harvest_from', { day: dayWords(day, treated) });
}

/** The second line of an entry: the result, then the note. */
export function detailOf(view: DiaryView, names: Names, entry?: Entry): string {
  const body = view.body;
  const words = entry?.tally ? [roundWords(entry.tally)] : (WORDS[view.type]?.(body, names) ?? []);
  if (view.type === 'round' && body.valid === false) {
    words.push(
      has(body.not_valid_reason)
        ? t('diary.round_not_valid', { why: String(body.not_valid_reason) })
        : t('diary.round_not_valid_bare'),
    );
  }
  const note = view.type !== 'note' && has(body.note) ? [String(body.note)] : [];
  return [...words.filter(Boolean), ...note].join(DOT);
}
