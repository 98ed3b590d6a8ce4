/**
 * Which day does a maximum or minimum belong to?
 *
 * A morning reader credits the maximum to yesterday and the minimum to today, whatever the true time of
 * either (09 UTC practice of climatological observers); an evening reader credits both to today (from memory).
 */
import { choice, InputFault, maybe, read } from './input';
import { datePlus, localDate, moment, timeZone } from './local_time';

export type DayCreditIn = {
  read_at: string;
  time_zone: string;
  habit: 'morning' | 'evening';
  last_reset_at?: string;
};
export type DayCredit = {
  max_on: string;
  min_on: string;
  accumulated: boolean;
  provisional: boolean;
  method: string;
  source: string;
};

const HOUR_MS = 3600000;

export function dayCredit(input: DayCreditIn): DayCredit {
  const v = read(input, {
    read_at: moment,
    time_zone: timeZone,
    habit: choice('morning', 'evening'),
    last_reset_at: maybe(moment),
  });
  if (v.last_reset_at !== undefined && v.last_reset_at > v.read_at) {
    throw new InputFault('/last_reset_at', 'The reset cannot be after the reading.');
  }
  const today = localDate(v.read_at, v.time_zone);
  const morning = v.habit === 'morning';
  return {
    max_on: morning ? datePlus(today, -1) : today,
    min_on: today,
    accumulated: v.last_reset_at !== undefined && v.read_at - v.last_reset_at > 36 * HOUR_MS,
    provisional: false,
    method: morning ? 'maximum to the day before, minimum to the day' : 'both to the day',
    source: 'practice of climatological observers; evening from memory',
  };
}
