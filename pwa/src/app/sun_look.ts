import { type Spot, type SunTimes, shiftedTo, spotOf, sunAt } from '../domain/daylight';
import { startLook } from '../parts/look';
import { changes, list } from '../storage';

const KEY = 'underboard.sun';

let spot: Spot | undefined;

/**
 * Keep the look by the sun at the plot, whose place is in the plot's record. Until `read`, which is answered, was called
 * the sun of the last time will do: it moves by a few minutes a day.
 */
export function startSun(): () => Promise<void> {
  const refresh = startLook(() => {
    const now = Date.now();
    if (!spot) return shiftedTo(now, remembered());
    const sun = sunAt(now, spot);
    remember(sun);
    return sun;
  });
  const read = async (): Promise<void> => {
    try {
      const [plot] = await list('plot');
      spot = plot && spotOf(plot.body);
    } catch {
      spot = undefined; // storage closed to us: the look of the phone will do
    }
    refresh();
  };
  changes.subscribe((event) => {
    if (event.types.has('plot') || event.types.has('*')) void read();
  });
  return read;
}

function remembered(): SunTimes | undefined {
  try {
    const [rise, set] = (localStorage.getItem(KEY) ?? '').split(' ').map(Number);
    return rise && set ? { rise, set } : undefined;
  } catch {
    return undefined; // storage may be closed to us; the look of the phone will do
  }
}

function remember({ rise, set }: SunTimes): void {
  if (rise === null || set === null) return;
  try {
    localStorage.setItem(KEY, `${rise} ${set}`);
  } catch {
    // as above
  }
}
