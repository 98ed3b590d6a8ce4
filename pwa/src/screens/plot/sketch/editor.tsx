/** Work on the sketch. Every finished gesture is saved at once, offline too, and can be undone. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { Button, IconButton, Notice, PageHeader } from '../../../parts';
import { t } from '../../../text';
import { localDay } from '../../forms/local_time';
import type { PlotFacts } from '../../forms/plot_facts';
import type { Open, PlaceRow, PlotData, StationRow } from '../index';
import { isRetired, type StationKind } from '../model';
import { type Chosen, EditorMap } from './editor_map';
import type { Corner } from './geometry';
import { boundsOf, freeSpot, type Shape, type Spot, shapesOf, spotsOf } from './ground';
import { ZoomButtons } from './layer_bar';
import { NewBedSheet } from './new_bed_sheet';
import { DropPanel, NothingPanel, PlacePanel, StationPanel, WalkPanel } from './panels';
import { drawnStep } from './steps';
import { useActs } from './use_acts';
import { useKeys } from './use_keys';
import { useViewport } from './use_viewport';
import { useWalk } from './use_walk';
import { useWork } from './use_work';
import { seen } from './viewport';
import './spots.css';
import './style.css';
import './layers.css';
import './editor.css';

type Props = {
  data: PlotData;
  facts: PlotFacts;
  first: string | undefined;
  onOpen: (open: Open) => void;
  onDone: () => void;
};
type Tool = 'choose' | 'drop' | 'walk';

export function Editor({ data, facts, first, onOpen, onDone }: Props) {
  const today = localDay(new Date(), facts.time_zone);
  const work = useWork(data);
  const [chosen, setChosen] = useState<Chosen | undefined>(first ? { type: 'place', id: first } : undefined);
  const [tool, setTool] = useState<Tool>('choose');
  const [kind, setKind] = useState<StationKind>('slug_board');
  const [drawing, setDrawing] = useState(data.places.every((place) => place.archived));
  const { shapes, spots, stations } = useGround(data, work.ghost, today);
  const viewport = useViewport(useMemo(() => boundsOf(shapes, spots), [shapes, spots]));
  useHeldView(viewport);
  const acts = useActs({ work, shapes, spots, stations, facts, today });
  const walk = useWalk(stations, work, () => setTool('choose'));
  const keys = useKeys({ work, shapes, spots, stations, acts, choose: setChosen });
  const shape = chosen?.type === 'place' ? shapes.find((one) => one.place.id === chosen.id) : undefined;
  const spot = chosen?.type === 'station' ? spots.find((one) => one.station.id === chosen.id) : undefined;

  const drop = async (at: Corner | undefined, into: Shape | undefined) => {
    const id = await acts.drop(kind, at, into);
    if (id) setChosen({ type: 'station', id });
  };
  const press = (place: Shape | undefined, station: Spot | undefined, at?: Corner) => {
    if (tool === 'walk') {
      if (station?.station.kind === 'slug_board') walk.tap(station.station.id);
    } else if (tool === 'drop' && at) void drop(at, place);
    else if (station) setChosen({ type: 'station', id: station.station.id });
    else setChosen(place && { type: 'place', id: place.place.id });
  };
  const placeLabel = (id: string | undefined) => data.places.find((place) => place.id === id)?.label ?? '';

  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: keys for undo work wherever the focus is
    <div class="editor" onKeyDown={keys.anywhere}>
      <PageHeader
        title={t('sketch_editor.title')}
        aside={
          <Button kind="main" icon="tick" onClick={onDone}>
            {t('sketch_editor.done')}
          </Button>
        }
      />
      <div class="editor-sides">
        <div class="editor-map">
          <EditorMap
            shapes={shapes}
            spots={tool === 'walk' ? spots.filter(({ station }) => station.kind === 'slug_board') : spots}
            stations={stations}
            north={facts.plot?.body.north_deg ?? 0}
            viewport={viewport}
            chosen={tool === 'walk' ? undefined : chosen}
            walk={tool === 'walk' ? walk.walked : undefined}
            onTap={(at, place, station) => press(place, station, at)}
            onHold={work.hold}
            onCancel={work.drop}
            onStep={(step) => void work.act(step)}
            onSpot={(one, at) => void acts.spot(one, at)}
            onUnsized={() => work.say(t('sketch_editor.size_first'))}
            onKey={(event, at) =>
              keys.onItem(event, at, () =>
                press(
                  shapes.find((one) => at.type === 'place' && one.place.id === at.id),
                  spots.find((one) => at.type === 'station' && one.station.id === at.id),
                ),
              )
            }
            onKeyUp={keys.release}
          />
          <div class="editor-tools">
            <IconButton
              icon="undo"
              label={
                work.canUndo
                  ? t('sketch_editor.undo_what', { what: work.canUndo })
                  : t('sketch_editor.nothing_undo')
              }
              disabled={!work.canUndo}
              onClick={() => void work.undo()}
            />
            <span class="mirrored">
              <IconButton
                icon="undo"
                label={
                  work.canRedo
                    ? t('sketch_editor.redo_what', { what: work.canRedo })
                    : t('sketch_editor.nothing_redo')
                }
                disabled={!work.canRedo}
                onClick={() => void work.redo()}
              />
            </span>
            <ZoomButtons
              onIn={viewport.zoomIn}
              onOut={viewport.zoomOut}
              onAll={viewport.showAll}
              isWhole={viewport.isWhole}
            />
          </div>
          <div class="editor-adds">
            <Button icon="plus" onClick={() => setDrawing(true)}>
              {t('sketch_editor.add_bed')}
            </Button>
            <Button
              icon="plus"
              disabled={shapes.length === 0}
              aria-pressed={tool === 'drop'}
              onClick={() => setTool(tool === 'drop' ? 'choose' : 'drop')}
            >
              {t('sketch_editor.add_station')}
            </Button>
            <Button
              icon="plank"
              disabled={walk.boards.length < 2}
              aria-pressed={tool === 'walk'}
              onClick={() => setTool(tool === 'walk' ? 'choose' : 'walk')}
            >
              {t('sketch_editor.walk')}
            </Button>
          </div>
        </div>
        <div class="editor-side">
          <div class="editor-words">
            <Notice live>{work.words || t('sketch_editor.saved_as_you_go')}</Notice>
          </div>
          {tool === 'walk' ? (
            <WalkPanel
              n={walk.walked.length}
              of={walk.boards.length}
              onSave={() => void walk.save()}
              onAgain={walk.again}
              onStop={() => setTool('choose')}
              onList={() => onOpen({ sheet: 'walk' })}
            />
          ) : tool === 'drop' ? (
            <DropPanel
              kind={kind}
              shapes={shapes}
              onKind={setKind}
              onInto={(id) =>
                void drop(
                  undefined,
                  shapes.find((one) => one.place.id === id),
                )
              }
              onDone={() => setTool('choose')}
            />
          ) : shape ? (
            <PlacePanel
              shape={shape}
              onMove={(left, top) => void acts.moveTo(shape, left, top)}
              onTurn={(degrees) => void acts.turn(shape, degrees)}
              onSize={(after) => void acts.size(shape, after)}
              onMore={() =>
                onOpen({ sheet: 'place', place: data.places.find((one) => one.id === shape.place.id) })
              }
              onAway={() => void acts.placeAway(shape)}
            />
          ) : spot ? (
            <StationPanel
              spot={spot}
              placeLabel={placeLabel(spot.station.place_id)}
              onSpot={(x, y) => void acts.spot(spot, [x, y])}
              onMore={() => {
                const station = data.stations.find((one) => one.id === spot.station.id);
                if (station) onOpen({ sheet: 'station', station, place_id: station.place_id ?? '' });
              }}
              onAway={() => void acts.stationAway(spot)}
            />
          ) : (
            <NothingPanel
              north={facts.plot?.body.north_deg ?? 0}
              onNorth={(degrees) => void acts.north(degrees)}
            />
          )}
        </div>
      </div>
      {drawing && (
        <NewBedSheet
          places={data.places}
          thisYear={Number(today.slice(0, 4))}
          onDraw={async (bed) => {
            const within = viewport.view ? seen(viewport.view) : boundsOf(shapes, spots);
            const [left, top] = freeSpot(shapes, [bed.length, bed.width], within);
            const { step, id } = drawnStep(bed, [left, top]);
            const done = await work.act(step);
            if (done) {
              setChosen({ type: 'place', id });
              viewport.include({ left, top, right: left + bed.length, bottom: top + bed.width });
            }
            return done;
          }}
          onClose={() => setDrawing(false)}
        />
      )}
    </div>
  );
}

/** The ground as it will be when what a finger holds has been let go. */
function useGround(data: PlotData, ghost: ReadonlyMap<string, Record<string, unknown>>, today: string) {
  return useMemo(() => {
    const laid = <R extends { id: string }>(record: R): R => ({ ...record, ...ghost.get(record.id) });
    const places = data.places.filter((place) => !place.archived).map(laid<PlaceRow>);
    const stations = data.stations.filter((one) => !isRetired(one, today)).map(laid<StationRow>);
    const shapes = shapesOf(places);
    return { shapes, stations: data.stations, spots: spotsOf(shapes, stations) };
  }, [data, ghost, today]);
}

/** While somebody works, the ground stays where it is on the screen, also when it grows. */
function useHeldView(viewport: ReturnType<typeof useViewport>): void {
  const held = useRef(false);
  useEffect(() => {
    if (held.current || !viewport.view) return;
    held.current = true;
    viewport.hold();
  });
}
