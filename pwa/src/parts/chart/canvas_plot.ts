/**
 * The one place that knows uPlot: it keeps scales, axes and the line under the finger; our own pen draws the layers, so
 * that the screen and the saved file are the same picture. Fetched with the first picture that is looked at.
 */
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { dayTicks, niceAxis, tickWords } from './axis';
import { CanvasPen } from './canvas_pen';
import { paint } from './paint';
import type { Palette, TimePicture, View } from './picture';

export interface PlotAsk {
  picture: TimePicture;
  view: View;
  palette: Palette;
  /** 1 at the usual size of text. */
  size: number;
  width: number;
  height: number;
  /** The day under the line, of those that have a number; undefined when the line is gone. */
  onPoint: (x: number | undefined) => void;
}

export interface Plot {
  over: HTMLElement;
  setView(view: View): void;
  setPalette(palette: Palette): void;
  setSize(width: number, height: number): void;
  /** x at a place of the page. */
  xAt(clientX: number): number;
  /** Put the line there, or away. */
  point(clientX: number | undefined): void;
  destroy(): void;
}

/** All days that have something, once each. */
export function daysOf(picture: TimePicture): number[] {
  const days = new Set<number>();
  for (const layer of picture.layers) if (layer.kind !== 'level') for (const x of layer.x) days.add(x);
  return [...days].sort((a, b) => a - b);
}

const DEAF = (): null => null;

function axesOf({ picture, size, width }: PlotAsk, palette: () => Palette): uPlot.Axis[] {
  const heights = niceAxis(picture.low, picture.high).ticks;
  const font = `${13 * size}px system-ui, sans-serif`;
  const most = Math.max(2, Math.floor(width / (66 * size)));
  const days = (u: uPlot) =>
    dayTicks({ from: u.scales.x?.min ?? 0, to: u.scales.x?.max ?? 1 }, most, picture.x === 'season');
  const stroke = (): string => palette().soft;
  const grid = { stroke: () => palette().line, width: 1 };
  return [
    {
      ...{ stroke, font, size: 30 * size, gap: 6, grid: { show: false } },
      ticks: { ...grid, size: 5 },
      splits: (u) => days(u).map(({ at }) => at),
      values: (u) => days(u).map(({ words }) => words),
    },
    {
      ...{ stroke, font, grid, size: 42 * size, gap: 6, ticks: { show: false } },
      splits: () => heights,
      values: () => heights.map((height) => tickWords(height)),
    },
  ];
}

export function makePlot(host: HTMLElement, ask: PlotAsk): Plot {
  const { picture } = ask;
  let palette = ask.palette;
  const axis = niceAxis(picture.low, picture.high);
  const xs = daysOf(picture);
  const told: { last?: number | undefined } = {};
  const draw = (u: uPlot): void => {
    const dots = u.ctx.canvas.width / u.width; // pixels of the canvas for one of the page
    const { left, top, width, height } = u.bbox;
    u.ctx.save();
    u.ctx.beginPath();
    u.ctx.rect(left - 6 * dots, top - 6 * dots, width + 12 * dots, height + 12 * dots);
    u.ctx.clip();
    const view = { from: u.scales.x?.min ?? 0, to: u.scales.x?.max ?? 1 };
    const box = { left: left / dots, top: top / dots, width: width / dots, height: height / dots };
    paint(
      new CanvasPen(u.ctx, dots),
      picture.layers,
      { ...box, view, low: axis.low, high: axis.high },
      palette,
      ask.size,
    );
    u.ctx.restore();
  };
  const tell = (u: uPlot): void => {
    const i = u.cursor.idx;
    const x = i === null || i === undefined ? undefined : xs[i];
    if (x === told.last) return; // said already; and a picture that is made anew takes nothing back
    told.last = x;
    ask.onPoint(x);
  };
  const u = new uPlot(
    {
      ...{ width: ask.width, height: ask.height, ms: 1, padding: [10, 12, 0, 0] },
      scales: {
        x: { time: false, range: (_u, low, high) => [low, high] },
        y: { range: () => [axis.low, axis.high] },
      },
      series: [{}, { paths: () => null, points: { show: false } }],
      axes: axesOf(ask, () => palette),
      legend: { show: false },
      cursor: {
        ...{ y: false, points: { show: false }, drag: { x: false, y: false, setScale: false } },
        // Fingers and keys are ours (gestures.ts).
        bind: { mousedown: DEAF, mouseup: DEAF, click: DEAF, dblclick: DEAF },
      },
      hooks: { draw: [draw], setCursor: [tell] },
    },
    [xs, xs.map(() => null)] as uPlot.AlignedData,
    host,
  );
  u.setScale('x', { min: ask.view.from, max: ask.view.to });
  const offset = (clientX: number): number => clientX - u.over.getBoundingClientRect().left;
  return {
    over: u.over,
    setView: ({ from, to }) => u.setScale('x', { min: from, max: to }),
    setPalette(next) {
      palette = next;
      u.redraw(false, true);
    },
    setSize: (width, height) => u.setSize({ width, height }),
    xAt: (clientX) => u.posToVal(offset(clientX), 'x'),
    point(clientX) {
      const left = clientX === undefined ? -10 : Math.min(u.over.clientWidth, Math.max(0, offset(clientX)));
      u.setCursor({ left, top: left < 0 ? -10 : 10 });
    },
    destroy: () => u.destroy(),
  };
}
