import { t } from '../../text';
import { dayWords, localClock, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { labelOf } from './edit_field';
import { EDITABLE, type Editable } from './editable';
import type { DiaryView } from './model';
import { choiceWords, degrees, type Names } from './words';

/** What is recorded, for a phone that may read and not change: words in place of fields and buttons. */
export function ReadOnly({ view, names, facts }: { view: DiaryView; names: Names; facts: PlotFacts }) {
  const rows = (EDITABLE[view.type] ?? [])
    .map((field) => ({ field, words: valueWords(field, view.body[field.name], names, facts) }))
    .filter(({ words }) => words !== '');
  return (
    <>
      <dl class="diary-values">
        {rows.map(({ field, words }) => (
          <div key={field.name}>
            <dt>{labelOf(view.type, field.name)}</dt>
            <dd>{words}</dd>
          </div>
        ))}
      </dl>
      <p class="soft small">{t('diary.reader_only')}</p>
    </>
  );
}

function valueWords(field: Editable, value: unknown, names: Names, facts: PlotFacts): string {
  if (value === undefined || value === null || value === '' || value === false) return '';
  const place = (id: unknown) => names.place.get(String(id)) ?? '';
  switch (field.kind) {
    case 'temperature':
      return degrees(value, facts.unit);
    case 'amount': {
      const { value: number, unit } = value as { value: number; unit: string };
      return `${number} ${unit}`;
    }
    case 'choice':
      return choiceWords(value);
    case 'place':
      return place(value);
    case 'places':
      return (value as string[]).map(place).filter(Boolean).join(', ');
    case 'moment': {
      const at = String(value);
      const zone = facts.time_zone;
      return `${dayWords(localDay(at, zone), localDay(new Date(), zone))} ${localClock(at, zone)}`;
    }
    case 'day':
      return dayWords(String(value), localDay(new Date(), facts.time_zone));
    case 'flag':
      return t('diary.yes');
    default:
      return ['whole', 'number'].includes(field.kind) && 'unit' in field && field.unit
        ? `${value} ${field.unit}`
        : String(value);
  }
}
