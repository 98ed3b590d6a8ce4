/** What the panels, the keys and the fingers can do to a place or a station. Each resolves when it is on the disk. */
import { t } from '../../../text';
import type { PlotFacts } from '../../forms/plot_facts';
import { isRetired } from '../model';
import { boxOf, type Corner, middleOf, type Rectangle } from './geometry';
import { dropOf, moveShape, turnShape } from './gestures';
import { placeAt, type Shape, type SketchStation, type Spot } from './ground';
import { placeHasRecords, stationHasRecords } from './has_records';
import { awayStep, droppedStep, movedStep, named, sizedStep, spotStep } from './steps';
import { changeOf } from './undo';
import type { Work } from './use_work';

type Around = {
  work: Work;
  shapes: readonly Shape[];
  spots: readonly Spot[];
  stations: readonly SketchStation[];
  facts: PlotFacts;
  today: string;
};

export function useActs({ work, shapes, spots, stations, facts, today }: Around) {
  const labelOf = (id: string | undefined) => shapes.find((one) => one.place.id === id)?.place.label ?? '';

  const spot = async (one: Spot, at: Corner): Promise<boolean> => {
    const where = dropOf(one.station, placeAt(shapes, at));
    if (where.kind === 'here') return await work.act(spotStep(one, at));
    if (await stationHasRecords(one.station)) {
      // Its counts would change beds with it, and every mean of the past with them.
      work.drop();
      work.say(
        t('sketch_editor.stays', { label: one.station.label ?? '', place: labelOf(one.station.place_id) }),
      );
      return false;
    }
    return await work.act(spotStep(one, at, where.place_id));
  };

  const away = async (record: Parameters<typeof awayStep>[0], hasRecords: boolean): Promise<void> => {
    const key = hasRecords ? 'sketch_editor.away_kept' : 'sketch_editor.away_deleted';
    if (await work.act(awayStep(record, hasRecords, today)))
      work.say(t(key, { label: record.body.label ?? '' }));
  };

  return {
    spot,
    moveBy: (shape: Shape, dx: number, dy: number) =>
      work.act(movedStep('move', shape, moveShape(shape, spots, dx, dy), stations)),
    moveTo: (shape: Shape, left: number, top: number) => {
      const box = boxOf(shape.corners);
      const moved = moveShape(shape, spots, left - box.left, top - box.top);
      return work.act(movedStep('move', shape, moved, stations));
    },
    turn: (shape: Shape, degrees: number) =>
      work.act(movedStep('turn', shape, turnShape(shape, spots, degrees), stations)),
    size: (shape: Shape, after: Rectangle) => work.act(sizedStep(shape, after)),
    /** The new station's id, or nothing when it fell beside every place. */
    drop: async (
      kind: string,
      at: Corner | undefined,
      into: Shape | undefined,
    ): Promise<string | undefined> => {
      if (!into) {
        work.say(t('sketch_editor.drop_outside'));
        return undefined;
      }
      const { step, id } = droppedStep(kind, into, at ?? middleOf(into.corners), stations, today);
      return (await work.act(step)) ? id : undefined;
    },
    placeAway: async (shape: Shape): Promise<void> => {
      const { place } = shape;
      if (stations.some((one) => one.place_id === place.id && !isRetired(one, today))) {
        work.say(t('sketch_editor.away_first', { label: place.label ?? '' }));
        return;
      }
      await away({ type: 'place', body: place }, await placeHasRecords(place.id));
    },
    stationAway: async ({ station }: Spot): Promise<void> => {
      await away({ type: 'station', body: station }, await stationHasRecords(station));
    },
    north: async (degrees: number): Promise<void> => {
      const plot = facts.plot;
      const change = plot && changeOf('plot', plot.id, plot.body, { north_deg: degrees });
      if (change) await work.act({ what: named('north', ''), changes: [change] });
    },
  };
}
export type Acts = ReturnType<typeof useActs>;
