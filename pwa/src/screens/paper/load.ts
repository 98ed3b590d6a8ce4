import { list } from '../../storage';
import { known } from '../forms/known';
import { localDay } from '../forms/local_time';
import type { Station } from '../plot/model';
import { type Catch, trapsNow } from '../traps/model';
import { rowsOf, type SheetKind, type SheetRow } from './model';

export interface SheetGround {
  stations: Station[];
  places: ReadonlyMap<string, string>;
  catches: Catch[];
}

/** What sheets are made of; also read by the keying-in. */
export async function loadGround(): Promise<SheetGround> {
  const [stations, places, catches] = await Promise.all([list('station'), list('place'), list('trap_catch')]);
  return {
    stations: stations.map((view) => ({ ...known(view.body), id: view.id })),
    places: new Map(places.map((view) => [view.id, view.body.label ?? ''])),
    catches: catches.map((view) => ({ ...known(view.body), id: view.id }) as Catch),
  };
}

export function rowsIn(ground: SheetGround, kind: SheetKind, day: string): SheetRow[] {
  return rowsOf(kind, ground.stations, ground.places, day);
}

/** The local day on which each trap that lies in the ground was set. */
export function setDays(ground: SheetGround, now: Date, timeZone: string): Map<string, string> {
  const traps = ground.stations.map((station) => ({ id: station.id, label: station.label ?? '' }));
  const { in_ground } = trapsNow(traps, ground.catches, now, timeZone);
  return new Map(in_ground.map(({ trap, set_at }) => [trap.id, localDay(set_at, timeZone)]));
}
