/** A finished gesture as one step that can be undone, with a name for the button. */
import { newId } from '../../../storage';
import { t } from '../../../text';
import { nextWalkOrder } from '../model';
import { type Corner, cornersOf, type Rectangle } from './geometry';
import {
  exactRectangle,
  type Moved,
  nextLabel,
  outlineFields,
  resizeFields,
  spotFields,
  spotOnGrid,
} from './gestures';
import type { Shape, SketchPlace, SketchStation, Spot } from './ground';
import { type Change, changeOf, type Fields, type Step } from './undo';

type Way = 'north' | 'move' | 'turn' | 'size' | 'draw' | 'spot' | 'away' | 'home';

export function named(way: Way, label: string | undefined): string {
  return t(`sketch_editor.did_${way}`, { label: label ?? '' });
}

/** A place that was moved or turned, and the stations that went along. */
export function movedStep(way: Way, shape: Shape, moved: Moved, stations: readonly SketchStation[]): Step {
  const place = changeOf('place', shape.place.id, shape.place, outlineFields(moved.corners));
  const along = [...moved.spots].flatMap(([id, at]) => {
    const station = stations.find((one) => one.id === id);
    return (station && changeOf('station', id, station, spotFields(at))) ?? [];
  });
  return { what: named(way, shape.place.label), changes: [...(place ? [place] : []), ...along] };
}

/** The same as fields by record, for drawing while the finger still holds it. */
export function movedGhost(shape: Shape, moved: Moved): Map<string, Fields> {
  const spots = [...moved.spots].map(([id, at]) => [id, spotFields(at)] as const);
  return new Map<string, Fields>([[shape.place.id, outlineFields(moved.corners)], ...spots]);
}

export function sizedStep(shape: Shape, after: Rectangle): Step {
  const before = exactRectangle(shape) ?? after;
  const change = changeOf('place', shape.place.id, shape.place, resizeFields(shape.place, before, after));
  return { what: named('size', shape.place.label), changes: change ? [change] : [] };
}

export interface NewBed {
  kind: string;
  label: string;
  length: number;
  width: number;
}

/** A bed drawn by its size, its length across the page. */
export function drawnStep(bed: NewBed, [left, top]: Corner): { step: Step; id: string } {
  const id = newId();
  const [x, y] = [left + bed.length / 2, top + bed.width / 2];
  const after = {
    kind: bed.kind,
    label: bed.label,
    length_m: bed.length,
    width_m: bed.width,
    outline: cornersOf({ x, y, across: bed.length, along: bed.width, turn: 0 }),
  };
  const change: Change = { type: 'place', id, before: undefined, after };
  return { step: { what: named('draw', bed.label), changes: [change] }, id };
}

/** A station put where the finger was; in a place that is only laid out beside the others it has no spot yet. */
export function droppedStep(
  kind: string,
  shape: Shape,
  at: Corner | undefined,
  stations: readonly SketchStation[],
  today: string,
): { step: Step; id: string } {
  const id = newId();
  const alike = stations.filter((station) => station.kind === kind);
  const fallback = t(`forms.station_${kind as 'slug_board'}`);
  const label = nextLabel(
    alike.map((station) => station.label ?? ''),
    fallback,
  );
  const after = {
    kind,
    place_id: shape.place.id,
    label,
    walk_order: nextWalkOrder(alike),
    set_on: today,
    ...(kind === 'thermometer' ? { exposure: 'screen' } : {}),
    ...(at && shape.placed ? spotFields(spotOnGrid(at)) : {}),
  };
  const change: Change = { type: 'station', id, before: undefined, after };
  return { step: { what: named('spot', label), changes: [change] }, id };
}

export function spotStep(spot: Spot, at: Corner, placeId?: string): Step {
  const fields = { ...spotFields(spotOnGrid(at)), ...(placeId ? { place_id: placeId } : {}) };
  const change = changeOf('station', spot.station.id, spot.station, fields);
  return { what: named(placeId ? 'home' : 'spot', spot.station.label), changes: change ? [change] : [] };
}

/** What a row is marked with beside its record's fields (`Marked`, ../index.tsx). */
const MARKS = ['base', 'pending', 'disputed'];

/** Taken away: deleted when nothing was ever noted there, else kept with all that was. */
export function awayStep(
  record: { type: 'place'; body: SketchPlace } | { type: 'station'; body: SketchStation },
  hasRecords: boolean,
  today: string,
): Step {
  const { id, ...before } = record.body;
  const what = named('away', record.body.label);
  if (!hasRecords) {
    const fields: Fields = Object.fromEntries(Object.entries(before).filter(([key]) => !MARKS.includes(key)));
    return { what, changes: [{ type: record.type, id, before: fields, after: undefined }] };
  }
  const set = record.type === 'place' ? { archived: true } : { retired_on: today };
  const change = changeOf(record.type, id, record.body, set);
  return { what, changes: change ? [change] : [] };
}
