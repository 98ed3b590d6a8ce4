import { type Spot, spotOf, sunOn } from '../domain/daylight';
import { startLook } from '../parts/look';
import { changes, list } from '../storage';

let spot: Spot | undefined;

/** Keep the look by the sun at the plot, whose place is in the plot's record. */
export function startSun(): void {
  const refresh = startLook(() => {
    if (!spot) return undefined;
    // "sv" writes a date as 2026-04-14, which is the form the calculation takes.
    const day = new Intl.DateTimeFormat('sv', { timeZone: spot.time_zone }).format(new Date());
    return sunOn(day, spot);
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
  void read();
}
