/** Whether anything was ever noted at a place or a station: then it is never deleted, only put out of use. */
import { list } from '../../../storage';
import type { SketchStation } from './ground';

export async function placeHasRecords(id: string): Promise<boolean> {
  const [stations, crops, events, treatments, samples, notes, evenings, damages] = await Promise.all([
    list('station'),
    list('crop'),
    list('crop_event'),
    list('treatment'),
    list('soil_sample'),
    list('note'),
    list('evening'),
    list('damage'),
  ]);
  const here = [stations, crops, events, samples, notes, evenings, damages].some((views) =>
    views.some((view) => view.body.place_id === id),
  );
  const treated = treatments.some(
    ({ body }) => body.place_ids?.includes(id) || body.control_place_ids?.includes(id),
  );
  return here || treated;
}

/** Only records from its first day on can be its own, which spares reading all the years. */
export async function stationHasRecords(station: SketchStation): Promise<boolean> {
  const range = station.set_on ? { from: station.set_on } : {};
  if (station.kind === 'slug_board') {
    return (await list('slug_count', range)).some((view) => view.body.station_id === station.id);
  }
  // A trap that lies in the ground has no day of its own yet: its records are few, so all are read.
  if (station.kind === 'bait_trap' || station.kind === 'beetle_trap') {
    return (await list('trap_catch')).some((view) => view.body.station_id === station.id);
  }
  return (await list('temperature', range)).some((view) => view.body.station_id === station.id);
}
