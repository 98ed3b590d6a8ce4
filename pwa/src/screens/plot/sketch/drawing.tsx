/** The sketch as SVG: soil, beds with their numbers, stations, scale bar and north. Pixels, so that words stay readable. */
import { t } from '../../../text';
import { clearWords } from './clear_words';
import { flagAt, flagCover, glyphScale, numberAt } from './covers';
import { type Corner, type Outline, rectangleOf } from './geometry';
import type { Shape, Spot } from './ground';
import { bedWords } from './labels';
import type { Mark } from './marks';
import { scaleBar, toScreen, type Viewport } from './viewport';

export const pointsOf = (corners: readonly Corner[]): string =>
  corners.map((corner) => corner.join()).join(' ');

type BedProps = {
  shape: Shape;
  view: Viewport;
  mark: Mark | undefined;
  chosen?: boolean;
  /** What Enter does, told to those who listen. */
  label: string;
  onKey: (event: KeyboardEvent) => void;
  onKeyUp?: () => void;
};

/** One place. A finger is heard by the whole drawing; keys are heard here. */
export function Bed({ shape, view, mark, chosen, label, onKey, onKeyUp }: BedProps) {
  const screen = shape.corners.map((corner) => toScreen(view, corner));
  const kind = shape.place.kind ?? 'bed';
  const step = mark?.step;
  const classes = [
    'bed-shape',
    `bed-${kind}`,
    step === undefined ? 'bed-blank' : `step-${step}`,
    shape.placed ? '' : 'bed-loose',
    chosen ? 'bed-chosen' : '',
  ];
  return (
    // biome-ignore lint/a11y/useSemanticElements: there is no button element inside a drawing
    <g
      class={classes.filter(Boolean).join(' ')}
      role="button"
      tabindex={0}
      aria-label={label}
      aria-pressed={chosen === undefined ? undefined : chosen}
      data-place={shape.place.id}
      onKeyDown={onKey}
      onKeyUp={onKeyUp}
      onBlur={onKeyUp}
    >
      <polygon class="bed-ground" points={pointsOf(screen)} />
      {mark && step === undefined && (
        <polygon class="bed-hatch" points={pointsOf(screen)} fill="url(#no-number)" />
      )}
      <Roof kind={kind} screen={screen} />
    </g>
  );
}

/** Name and number of a place, beside the stations (`things`), and over them where there is no other room. */
export function BedWords({
  shape,
  view,
  mark,
  things,
}: Pick<BedProps, 'shape' | 'view' | 'mark'> & { things: readonly Outline[] }) {
  const screen = shape.corners.map((corner) => toScreen(view, corner));
  const step = mark?.step;
  const covered = mark?.flagged ? [...things, flagCover(screen)] : things;
  const lines = bedWords(screen, shape.place.label ?? '', mark?.value ?? '');
  return (
    // biome-ignore lint/a11y/noAriaHiddenOnFocusable: words alone; the button of the place says them to those who listen
    <g
      class={`bed-words bed-${shape.place.kind} ${step === undefined ? '' : `step-${step}`}`}
      aria-hidden="true"
    >
      {clearWords(lines, screen, covered).map((words) => (
        <text
          key={words.size + words.text}
          class={words.text === mark?.value ? 'bed-value' : 'bed-name'}
          x={words.x}
          y={words.y}
          font-size={words.size}
          transform={words.turn === 0 ? undefined : `rotate(${words.turn} ${words.x} ${words.y})`}
        >
          {words.text}
        </text>
      ))}
      {mark?.flagged && <Flag at={screen} />}
    </g>
  );
}

/** A tunnel has hoops, a frame its glass: told by lines, not by colour. */
function Roof({ kind, screen }: { kind: string; screen: readonly Corner[] }) {
  const rectangle = rectangleOf(screen);
  if (!rectangle || (kind !== 'tunnel' && kind !== 'frame')) return null;
  const { x, y, across, along, turn } = rectangle;
  const [long, short, tilt] = across > along ? [across, along, turn] : [along, across, turn + 90];
  const hoops = kind === 'tunnel' ? Math.min(8, Math.max(3, Math.round(long / 26))) : 2;
  const lines = Array.from({ length: hoops - 1 }, (_, i) => {
    const at = -long / 2 + ((i + 1) * long) / hoops;
    return `M${at.toFixed(1)} ${(-short / 2).toFixed(1)}v${short.toFixed(1)}`;
  });
  return <path class="bed-roof" d={lines.join('')} transform={`translate(${x} ${y}) rotate(${tilt})`} />;
}

/** A small diamond in the upper corner: something here waits to be settled. */
function Flag({ at }: { at: readonly Corner[] }) {
  const [x, y] = flagAt(at);
  return (
    <g transform={`translate(${x} ${y})`}>
      <path class="flag" d="M0 -9l9 9l-9 9l-9 -9z" />
      <text class="flag-words" y="0">
        ?
      </text>
    </g>
  );
}

type StationProps = {
  spot: Spot;
  view: Viewport;
  /** Degrees by which its place is turned: a board lies as the bed does. */
  turn: number;
  number?: string | undefined;
  chosen?: boolean;
  label: string;
  onKey: (event: KeyboardEvent) => void;
  onKeyUp?: () => void;
};

export function StationMark({ spot, view, turn, number, chosen, label, onKey, onKeyUp }: StationProps) {
  const [x, y] = toScreen(view, spot.at);
  const kind = spot.station.kind ?? 'slug_board';
  return (
    <>
      {/* biome-ignore lint/a11y/useSemanticElements: there is no button element inside a drawing */}
      <g
        class={`spot spot-${kind} ${spot.placed ? '' : 'spot-loose'} ${chosen ? 'spot-chosen' : ''}`}
        role="button"
        tabindex={0}
        aria-label={label}
        aria-pressed={chosen === undefined ? undefined : chosen}
        data-station={spot.station.id}
        transform={`translate(${x} ${y})`}
        onKeyDown={onKey}
        onKeyUp={onKeyUp}
        onBlur={onKeyUp}
      >
        {chosen && <circle class="spot-ring" r="15" />}
        <g transform={`scale(${glyphScale(view)})`}>
          <Glyph kind={kind} turn={turn} />
        </g>
      </g>
      {number && (
        // Beside the button and not in it: its name is said in full there.
        <g class="spot-print" transform={`translate(${x} ${y})`}>
          {/* biome-ignore lint/a11y/noAriaHiddenOnFocusable: a text in a drawing takes no focus */}
          <text class="spot-number" aria-hidden="true" y={numberAt(kind)}>
            {number}
          </text>
        </g>
      )}
    </>
  );
}

/** Boards are planks, traps sunk pots, thermometers stand upright: each told by its shape. */
export function Glyph({ kind, turn = 0 }: { kind: string; turn?: number }) {
  if (kind === 'slug_board') {
    return (
      <g transform={`rotate(${turn})`}>
        <rect class="glyph-plank" x="-8" y="-3.5" width="16" height="7" rx="1" />
        <path class="glyph-grain" d="M-5 0h10" />
      </g>
    );
  }
  if (kind === 'bait_trap' || kind === 'beetle_trap') {
    return (
      <g>
        <circle class="glyph-pot" r="6" />
        <path
          class="glyph-line"
          d={kind === 'bait_trap' ? 'M-2.500 0h5M0 -2.500v5' : 'M-2.500 -2.500l5 5M2.500 -2.500l-5 5'}
        />
      </g>
    );
  }
  if (kind === 'rain_gauge') return <path class="glyph-pot" d="M-5 -6h10l-3 12h-4z" />;
  return (
    <g>
      <rect class="glyph-pot" x="-3" y="-8" width="6" height="16" rx="3" />
      <path class="glyph-line" d={kind === 'grass_minimum' ? 'M0 -3v8M-6 8h12' : 'M0 -4v9'} />
    </g>
  );
}

/** The texture of "no number here", and the grid of whole metres when one is close enough to use it. */
export function Ground({ view, grid }: { view: Viewport; grid: boolean }) {
  const shown = grid && view.scale >= 14;
  const [x, y] = toScreen(view, [0, 0]);
  return (
    <g>
      <defs>
        <pattern
          id="no-number"
          width="8"
          height="8"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <path class="hatch-line" d="M0 0V8" />
        </pattern>
        {shown && (
          <pattern
            id="metres"
            width={view.scale}
            height={view.scale}
            patternUnits="userSpaceOnUse"
            x={x}
            y={y}
          >
            <path class="grid-line" d={`M0 0H${view.scale}M0 0V${view.scale}`} />
          </pattern>
        )}
      </defs>
      {shown && <rect width={view.width} height={view.height} fill="url(#metres)" />}
    </g>
  );
}

export function ScaleBar({ view }: { view: Viewport }) {
  const { metres, pixels } = scaleBar(view);
  const y = view.height - 10;
  const words =
    metres < 1 ? t('sketch.centimetres', { n: Math.round(metres * 100) }) : t('sketch.metres', { n: metres });
  return (
    <g class="scale-bar" transform={`translate(12 ${y})`}>
      <path class="scale-line" d={`M0 -5V0H${pixels}V-5`} />
      <text class="scale-words" x={pixels + 6} y="-2">
        {words}
      </text>
    </g>
  );
}

/** A shaft towards north with the light on its east side. */
export function North({ view, degrees }: { view: Viewport; degrees: number }) {
  return (
    // biome-ignore lint/a11y/noInteractiveElementToNoninteractiveRole: a group of lines, nothing to press
    <g
      class="north"
      transform={`translate(${view.width - 24} ${view.height - 28})`}
      role="img"
      aria-label={northWords(degrees)}
    >
      <g transform={`rotate(${degrees})`}>
        <path class="north-shaft" d="M0 14V-10" />
        <path class="north-west" d="M0 -16L-6 -4L0 -7z" />
        <path class="north-east" d="M0 -16L6 -4L0 -7z" />
      </g>
      <text
        class="north-words"
        x={-Math.sin((-degrees * Math.PI) / 180) * 22}
        y={-Math.cos((degrees * Math.PI) / 180) * 22}
      >
        {t('sketch.north_letter')}
      </text>
    </g>
  );
}

export function northWords(degrees: number): string {
  return degrees === 0 ? t('sketch.north_up') : t('sketch.north_at', { n: Math.round(degrees) });
}
