/** Which day a reading's highest and lowest count for, said in words. */
import { dayCredit } from '../../agronomy';
import { t } from '../../text';
import { dayWords } from '../forms/local_time';
import { lastResetAt, type PastReading } from './model';

export interface CreditInput {
  station_id: string;
  read_at: string;
  time_zone: string;
  habit: 'morning' | 'evening';
  has_max: boolean;
  has_min: boolean;
  past: readonly PastReading[];
}

/** One or two sentences; an empty list when neither value was read. */
export function creditWords(input: CreditInput): string[] {
  if (!input.has_max && !input.has_min) return [];
  const reset = lastResetAt(input.station_id, input.past, input.read_at);
  const credit = dayCredit({
    read_at: input.read_at,
    time_zone: input.time_zone,
    habit: input.habit,
    ...(reset === undefined ? {} : { last_reset_at: reset }),
  });
  const maxDay = dayWords(credit.max_on, credit.min_on);
  const minDay = dayWords(credit.min_on, credit.min_on);
  const words: string[] = [];
  if (credit.accumulated && reset) {
    words.push(t('readings.credit_accumulated', { when: dayWords(reset.slice(0, 10), credit.min_on) }));
    return words;
  }
  if (input.has_max && input.has_min)
    words.push(
      credit.max_on === credit.min_on
        ? t('readings.credit_both', { day: minDay })
        : t('readings.credit_split', { max_day: maxDay, min_day: minDay }),
    );
  else
    words.push(
      input.has_max ? t('readings.credit_max', { day: maxDay }) : t('readings.credit_min', { day: minDay }),
    );
  if (reset === undefined) words.push(t('readings.credit_never_reset'));
  if (credit.provisional && input.has_min) words.push(t('readings.credit_provisional'));
  return words;
}
