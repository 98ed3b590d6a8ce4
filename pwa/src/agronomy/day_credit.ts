/**
 * Which days do a maximum and a minimum belong to?
 *
 * Morning: the maximum belongs to the day before, the minimum to the day of reading, whatever the true time
 * (Climatological Observers Link and CEDA on the 09 UTC throwback). Evening: both to the day of reading (from
 * memory). Provisional when the extreme may still come: a morning reading before sunrise (without a place,
 * before 06:00 standard time), an evening reading before 15:00 standard time (common practice, no source).
 */
import { choice, InputFault, maybe, number, or, read } from './input';
import { datePlus, localDate, moment, standardOffset, timeZone } from './local_time';
import { sun } from './sun';

export type DayCreditIn = {
  read_at: string;
  time_zone: string;
  habit?: 'morning' | 'evening';
  last_reset_at?: string | null;
  latitude?: number;
  longitude?: number;
};
export type DayCredit = {
  max_on: string;
  min_on: string;
  /** A reset was missed, so the figures span several days; null when the last reset is unknown. */
  accumulated: boolean | null;
  /** The extreme may still be to come. */
  provisional: boolean;
  why_not: string[];
  cautions: string[];
  method: string;
  source: string;
};

const EARLIEST_MORNING = 6;
const EARLIEST_EVENING = 15;

export function dayCredit(input: DayCreditIn): DayCredit {
  const v = read(input, {
    read_at: moment,
    time_zone: timeZone,
    habit: or(choice('morning', 'evening'), 'morning' as const),
    last_reset_at: maybe(moment),
    latitude: maybe(number({ min: -90, max: 90 })),
    longitude: maybe(number({ min: -180, max: 180 })),
  });
  if (v.last_reset_at !== undefined && v.last_reset_at > v.read_at) {
    throw new InputFault('/last_reset_at', 'The last reset lies after the reading; check both times.');
  }
  const today = localDate(v.read_at, v.time_zone);
  const morning = v.habit === 'morning';
  const hour = standardHour(v.read_at, v.time_zone);
  const accumulated =
    v.last_reset_at === undefined ? null : localDate(v.last_reset_at, v.time_zone) < datePlus(today, -1);
  const provisional = morning ? beforeSunrise(v, today, hour) : hour < EARLIEST_EVENING;
  return {
    max_on: morning ? datePlus(today, -1) : today,
    min_on: today,
    accumulated,
    provisional,
    why_not:
      accumulated === null
        ? ['The last reset is unknown, so nobody can say whether the figures span several days.']
        : [],
    cautions: cautions(morning, hour, accumulated === true, provisional),
    method: 'morning: maximum to the day before, minimum to the day of reading; evening: both to that day',
    source: 'Climatological Observers Link and CEDA (09 UTC throwback); evening reader from memory',
  };
}

/** Whole hour of standard time, so that summer time does not move the limits. */
function standardHour(instant: number, zone: string): number {
  return new Date(instant + standardOffset(instant, zone)).getUTCHours();
}

type Place = {
  read_at: number;
  time_zone: string;
  latitude?: number | undefined;
  longitude?: number | undefined;
};

function beforeSunrise(v: Place, date: string, hour: number): boolean {
  if (v.latitude !== undefined && v.longitude !== undefined) {
    const { sunrise } = sun({ date, latitude: v.latitude, longitude: v.longitude, time_zone: v.time_zone });
    if (sunrise !== null) return v.read_at < Date.parse(sunrise);
  }
  return hour < EARLIEST_MORNING;
}

function cautions(morning: boolean, hour: number, accumulated: boolean, provisional: boolean): string[] {
  const said: string[] = [];
  if (accumulated) {
    said.push('A reset was missed: the figures span several days; leave them out of daily means.');
  }
  if (provisional) {
    said.push(
      `Read early: the day's ${morning ? 'minimum' : 'maximum'} may still be to come; read once more.`,
    );
  }
  if (morning && hour >= 12) {
    said.push('Read after noon on a plot that reads in the morning: the credited days are doubtful.');
  }
  return said;
}
