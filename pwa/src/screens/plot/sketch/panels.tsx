/** Below the sketch: the chosen thing in figures, the way of the keyboard for each gesture of the finger. */
import { useState } from 'preact/hooks';
import { Button, Caution, IconButton, SelectField } from '../../../parts';
import { t } from '../../../text';
import { byLabel, STATION_KINDS, type StationKind } from '../model';
import { sizeWords } from './bed_sheet';
import { boxOf, type Rectangle, resized, TURN_STEP } from './geometry';
import { exactRectangle, hasSize, lengthIsAcross } from './gestures';
import type { Shape, Spot } from './ground';
import { MetreField } from './metre_field';

const FAR_M = 9999;

type PlaceProps = {
  shape: Shape;
  onMove: (left: number, top: number) => void;
  onTurn: (degrees: number) => void;
  onSize: (after: Rectangle) => void;
  onMore: () => void;
  onAway: () => void;
};

export function PlacePanel({ shape, onMove, onTurn, onSize, onMore, onAway }: PlaceProps) {
  const { left, top } = boxOf(shape.corners);
  const rectangle = exactRectangle(shape);
  const lengthAcross = rectangle && lengthIsAcross(shape.place, rectangle);
  const [length, width] =
    rectangle && lengthAcross
      ? [rectangle.across, rectangle.along]
      : [rectangle?.along ?? 0, rectangle?.across ?? 0];
  const size = (nextLength: number, nextWidth: number) => {
    if (!rectangle) return;
    onSize(
      lengthAcross ? resized(rectangle, nextLength, nextWidth) : resized(rectangle, nextWidth, nextLength),
    );
  };
  return (
    <section class="panel" aria-label={shape.place.label}>
      <h2>{shape.place.label}</h2>
      <p class="soft small">{sizeWords(shape)}</p>
      {!hasSize(shape.place) && <p>{t('sketch_editor.size_first')}</p>}
      {!shape.placed && hasSize(shape.place) && <p>{t('sketch_editor.drag_to_place')}</p>}
      {hasSize(shape.place) && (
        <div class="pair-grid">
          <MetreField
            label={t('sketch_editor.left')}
            value={shape.placed ? left : undefined}
            low={-FAR_M}
            high={FAR_M}
            onSet={(value) => onMove(value, top)}
          />
          <MetreField
            label={t('sketch_editor.top')}
            value={shape.placed ? top : undefined}
            low={-FAR_M}
            high={FAR_M}
            onSet={(value) => onMove(left, value)}
          />
          {rectangle && (
            <>
              <MetreField
                label={t('plot.length')}
                value={length}
                low={0.2}
                high={1000}
                onSet={(value) => size(value, width)}
              />
              <MetreField
                label={t('plot.width')}
                value={width}
                low={0.2}
                high={1000}
                onSet={(value) => size(length, value)}
              />
            </>
          )}
        </div>
      )}
      {shape.placed && (
        <div class="turn-row">
          <IconButton
            icon="turn_left"
            label={t('sketch_editor.turn_left')}
            onClick={() => onTurn(-TURN_STEP)}
          />
          {rectangle && (
            <MetreField
              label={t('sketch_editor.turn')}
              value={rectangle.turn}
              low={0}
              high={180}
              onSet={(value) => onTurn(value - rectangle.turn)}
            />
          )}
          <IconButton
            icon="turn_right"
            label={t('sketch_editor.turn_right')}
            onClick={() => onTurn(TURN_STEP)}
          />
        </div>
      )}
      <div class="panel-acts">
        <Button icon="edit" onClick={onMore}>
          {t('sketch.edit_place')}
        </Button>
        <Button kind="bad" onClick={onAway}>
          {t('sketch_editor.away')}
        </Button>
      </div>
    </section>
  );
}

type StationProps = {
  spot: Spot;
  placeLabel: string;
  onSpot: (x: number, y: number) => void;
  onMore: () => void;
  onAway: () => void;
};

export function StationPanel({ spot, placeLabel, onSpot, onMore, onAway }: StationProps) {
  const { station, at, placed } = spot;
  const [x, y] = at;
  const kind = t(`forms.station_${station.kind as StationKind}`);
  return (
    <section class="panel" aria-label={station.label}>
      <h2>{station.label}</h2>
      <p class="soft small">
        {[kind, placeLabel, placed ? '' : t('sketch_editor.spread')].filter(Boolean).join(' · ')}
      </p>
      <div class="pair-grid">
        <MetreField
          label={t('sketch_editor.left')}
          value={placed ? x : undefined}
          low={-FAR_M}
          high={FAR_M}
          onSet={(value) => onSpot(value, y)}
        />
        <MetreField
          label={t('sketch_editor.top')}
          value={placed ? y : undefined}
          low={-FAR_M}
          high={FAR_M}
          onSet={(value) => onSpot(x, value)}
        />
      </div>
      <div class="panel-acts">
        <Button icon="edit" onClick={onMore}>
          {t('sketch_editor.station_more')}
        </Button>
        <Button kind="bad" onClick={onAway}>
          {t('sketch_editor.away')}
        </Button>
      </div>
    </section>
  );
}

type DropProps = {
  kind: StationKind;
  shapes: readonly Shape[];
  onKind: (kind: StationKind) => void;
  /** The way of the keyboard: into the middle of a place. */
  onInto: (placeId: string) => void;
  onDone: () => void;
};

export function DropPanel({ kind, shapes, onKind, onInto, onDone }: DropProps) {
  const sorted = [...shapes].sort((a, b) => byLabel(a.place, b.place));
  const [into, setInto] = useState('');
  const id = into || (sorted[0]?.place.id ?? '');
  return (
    <section class="panel" aria-label={t('sketch_editor.drop')}>
      <h2>{t('sketch_editor.drop')}</h2>
      <p>{t('sketch_editor.drop_text')}</p>
      <SelectField
        label={t('plot.kind')}
        value={kind}
        choices={STATION_KINDS.map((value) => ({ value, label: t(`forms.station_${value}`) }))}
        onChoose={onKind}
      />
      <div class="into-row">
        <SelectField
          label={t('sketch_editor.into')}
          value={id}
          choices={sorted.map(({ place }) => ({ value: place.id, label: place.label ?? '' }))}
          onChoose={setInto}
        />
        <Button onClick={() => onInto(id)}>{t('sketch_editor.put')}</Button>
      </div>
      <Button kind="main" onClick={onDone}>
        {t('sketch_editor.drop_done')}
      </Button>
      <Caution>{t('traps.caution')}</Caution>
    </section>
  );
}

type WalkProps = {
  n: number;
  of: number;
  onSave: () => void;
  onAgain: () => void;
  onStop: () => void;
  onList: () => void;
};

export function WalkPanel({ n, of, onSave, onAgain, onStop, onList }: WalkProps) {
  return (
    <section class="panel" aria-label={t('plot.walk')}>
      <h2>{t('plot.walk')}</h2>
      <p>{t('sketch_editor.walk_text')}</p>
      <p role="status">
        <strong>{t('sketch_editor.walk_count', { n, of })}</strong>
      </p>
      <Button kind="main" disabled={n === 0} onClick={onSave}>
        {t('sketch_editor.walk_save')}
      </Button>
      <div class="row">
        <Button disabled={n === 0} onClick={onAgain}>
          {t('sketch_editor.walk_again')}
        </Button>
        <Button onClick={onList}>{t('sketch_editor.walk_list')}</Button>
        <Button kind="quiet" onClick={onStop}>
          {t('parts.cancel')}
        </Button>
      </div>
    </section>
  );
}

type NothingProps = { north: number; onNorth: (degrees: number) => void };

export function NothingPanel({ north, onNorth }: NothingProps) {
  const turned = (by: number) => onNorth((((north + by) % 360) + 360) % 360);
  return (
    <section class="panel" aria-label={t('sketch_editor.nothing')}>
      <p>{t('sketch_editor.nothing_text')}</p>
      <p class="soft small only-keys">{t('sketch_editor.keys')}</p>
      <div class="turn-row">
        <IconButton icon="turn_left" label={t('sketch_editor.north_left')} onClick={() => turned(-15)} />
        <MetreField label={t('sketch_editor.north')} value={north} low={0} high={360} onSet={onNorth} />
        <IconButton icon="turn_right" label={t('sketch_editor.north_right')} onClick={() => turned(15)} />
      </div>
    </section>
  );
}
