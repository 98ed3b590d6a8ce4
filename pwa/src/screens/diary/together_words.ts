/** What one entry says that gathers the readings or the traps of a walk. */
import { t } from '../../text';
import { localClock } from '../forms/local_time';
import { celsius, type Quantity } from '../readings/model';
import { type DiaryView, momentOf } from './model';
import { caught, type Extreme, extremes, kindOf, missed } from './together';
import { degrees, type Names } from './words';

/** A dot that stays with the words before it. */
const DOT = '\u00a0· ';

export const stationOf = ({ body }: DiaryView, names: Names): string =>
  names.station.get(String(body.station_id)) ?? '';

/** "5 thermometers read", or of one alone "Tunnel: 144 readings". */
export function togetherTitle(parts: readonly DiaryView[], names: Names): string {
  const stations = new Set(parts.map(({ body }) => body.station_id)).size;
  const [first] = parts;
  const kind = (first && kindOf(first)) ?? 'read';
  if (kind === 'read' && first && stations === 1)
    return t('diary.together_one', { n: parts.length, where: stationOf(first, names) });
  return t(`diary.together_${kind}`, { n: stations });
}

export function togetherDetail(parts: readonly DiaryView[], names: Names): string {
  const [first] = parts;
  const kind = first && kindOf(first);
  if (kind === 'read') return extremeWords(parts, names);
  return kind === 'lifted' ? caughtWords(parts) : '';
}

/** How cold and how warm it was, and where. */
function extremeWords(parts: readonly DiaryView[], names: Names): string {
  const { lowest, highest } = extremes(parts, (value) =>
    value && typeof value === 'object' ? celsius(value as Quantity) : undefined,
  );
  const alone = new Set(parts.map(({ body }) => body.station_id)).size === 1;
  const at = (key: 'lowest' | 'highest', one: Extreme | undefined): string => {
    if (!one) return '';
    const value = degrees(one.value, names.unit);
    return alone
      ? t(`diary.${key}_alone`, { value })
      : t(`diary.${key}`, { value, where: stationOf(one.view, names) });
  };
  return [at('lowest', lowest), at('highest', highest)].filter(Boolean).join(DOT);
}

function caughtWords(parts: readonly DiaryView[]): string {
  const found = caught(parts);
  const n = missed(parts);
  return [
    found?.wireworms === undefined ? '' : t('diary.wireworms_line', { n: found.wireworms }),
    found?.beetles === undefined ? '' : t('diary.beetles_line', { n: found.beetles }),
    n > 0 ? t('diary.together_missed', { n }) : '',
  ]
    .filter(Boolean)
    .join(DOT);
}

/** "07:10 to 07:25", and by whom. */
export function whenAndWho(parts: readonly DiaryView[], names: Names): string {
  const clocks = parts.map((view) => localClock(momentOf(view) ?? '', names.time_zone));
  const [from = '', to = ''] = [clocks[0], clocks.at(-1)];
  const people = [...new Set(parts.map(({ body }) => String(body.observer ?? '')).filter(Boolean))];
  return [
    from === to ? from : t('diary.from_to', { from, to }),
    people.length > 0 ? t('diary.by', { who: people.join(', ') }) : '',
  ]
    .filter(Boolean)
    .join(DOT);
}
