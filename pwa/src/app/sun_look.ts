import { sun } from '../agronomy';
import { type SunTimes, startLook } from '../parts/look';
import { changes, list } from '../storage';

let times: SunTimes | undefined;
let forDay = '';
let spot: { latitude: number; longitude: number; time_zone: string } | undefined;

/** Keep the look by the sun at the plot: its place from the plot record, recomputed when the day turns. */
export function startSun(): void {
  const refresh = startLook(sunToday);
  const read = async (): Promise<void> => {
    const [plot] = await list('plot');
    const { latitude, longitude, time_zone } = plot?.body ?? {};
    spot =
      typeof latitude === 'number' && typeof longitude === 'number' && typeof time_zone === 'string'
        ? { latitude, longitude, time_zone }
        : undefined;
    forDay = '';
    refresh();
  };
  changes.subscribe((event) => {
    if (event.types.has('plot')) void read();
  });
  void read();
}

function sunToday(): SunTimes | undefined {
  if (!spot) return undefined;
  // "sv" writes a date as 2026-04-14, which is the form the calculation takes.
  const date = new Intl.DateTimeFormat('sv', { timeZone: spot.time_zone }).format(new Date());
  if (date !== forDay) {
    const { sunrise, sunset } = sun({ date, ...spot });
    times = { rise: moment(sunrise), set: moment(sunset) };
    forDay = date;
  }
  return times;
}

function moment(at: string | null): number | null {
  return at === null ? null : Date.parse(at);
}
