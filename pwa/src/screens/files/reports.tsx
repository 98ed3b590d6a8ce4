import { useState } from 'preact/hooks';
import { Card, SelectField } from '../../parts';
import { list, useLive } from '../../storage';
import { language, t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import { lastDayOf, type Periods, periodsOf } from './periods';
import { FileButtons } from './take_out';

const KINDS = ['round', 'trap_catch', 'temperature', 'treatment', 'crop_event', 'damage'] as const;

/** Reports of any week and year of which there are records, in the language of the phone. */
export function Reports({ plotId, timeZone }: { plotId: string; timeZone: string }) {
  const today = localDay(new Date(), timeZone);
  const known = useLive(() => periods(timeZone, today), KINDS, [timeZone, today]) ?? periodsOf([], today);
  const [week, setWeek] = useState('');
  const [year, setYear] = useState('');
  const until = lastDayOf(week || (known.weeks[0] as string), today);
  const of = year || String(known.years[0]);
  const tail = `form=pdf&language=${language()}`;
  return (
    <Card title={t('files.reports')}>
      <p class="soft">{t('files.reports_why')}</p>
      <SelectField
        label={t('files.which_week')}
        value={week}
        choices={known.weeks.map((monday, n) => ({
          value: n === 0 ? '' : monday,
          label: n === 0 ? t('files.this_week') : weekWords(monday, today),
        }))}
        onChoose={setWeek}
      />
      <FileButtons plotId={plotId} files={[['week', `report/week?until=${until}&${tail}`]]} />
      <SelectField
        label={t('files.which_year')}
        value={year}
        choices={known.years.map((one, n) => ({ value: n === 0 ? '' : String(one), label: String(one) }))}
        onChoose={setYear}
      />
      <FileButtons
        plotId={plotId}
        files={[
          ['season', `report/season?year=${of}&${tail}`],
          ['products', `report/products?year=${of}&${tail}`],
        ]}
      />
    </Card>
  );
}

function weekWords(monday: string, today: string): string {
  return t('files.week_of', { from: dayWords(monday, today), to: dayWords(lastDayOf(monday, today), today) });
}

async function periods(timeZone: string, today: string): Promise<Periods> {
  const found = await Promise.all(KINDS.map((type) => list(type)));
  const days = found.flat().map(({ body }) => body.observed_at);
  return periodsOf(
    days.flatMap((at) => (at ? [localDay(at, timeZone)] : [])),
    today,
  );
}
