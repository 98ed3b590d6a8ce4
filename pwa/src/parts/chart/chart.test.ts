import { describe, expect, it } from 'vitest';
import { dayTicks, niceAxis } from './axis';
import { firstFrom, thinned } from './decimate';
import { keyed, pinched } from './gestures';
import { csvOf } from './numbers';
import { paint } from './paint';
import { SvgPen, svgFile } from './pen';
import { legendOf, type Palette, type RowsPicture, type TimePicture } from './picture';
import { paintRows, rowsHeight } from './rows';
import { broken, paintSheet } from './sheet';
import { carried, isWhole, panned, zoomed } from './viewport';

const DAY = 86_400_000;
const at = (day: string): number => Date.parse(`${day}T00:00:00Z`);
const PALETTE: Palette = {
  ...{ ink: '#111', soft: '#222', line: '#333', ground: '#444', glow: '#555', good: '#666' },
  ...{ bad: '#777', plank: '#888', act: '#999' },
};

describe('thinning', () => {
  const x = Array.from({ length: 3650 }, (_, i) => i * DAY);
  const y = x.map((_, i) => Math.sin(i / 58) * 10);
  y[1234] = 99;
  y[2345] = -99;
  it('keeps the extremes, the ends, and few others', () => {
    const kept = thinned(x, y, 0, 3649 * DAY, 300);
    expect(kept.length).toBeLessThanOrEqual(1204);
    expect(kept).toEqual([...kept].sort((a, b) => a - b));
    for (const i of [0, 1234, 2345, 3649]) expect(kept).toContain(i);
  });
  it('shows the same highest and lowest of every column of pixels', () => {
    const kept = thinned(x, y, 0, 3649 * DAY, 100);
    const column = (i: number): number => Math.floor(((x[i] ?? 0) / (3649 * DAY)) * 100);
    const limits = (of: number[]): Map<number, [number, number]> => {
      const found = new Map<number, [number, number]>();
      for (const i of of) {
        const [low, high] = found.get(column(i)) ?? [Infinity, -Infinity];
        found.set(column(i), [Math.min(low, y[i] ?? 0), Math.max(high, y[i] ?? 0)]);
      }
      return found;
    };
    expect(limits(kept)).toEqual(limits(x.map((_, i) => i)));
  });
  it('keeps a gap, and one neighbour outside on each side', () => {
    const gappy = y.map((value, i) => (i === 2000 ? null : value));
    expect(thinned(x, gappy, 0, 3649 * DAY, 50)).toContain(2000);
    expect(thinned(x, y, 10 * DAY, 12 * DAY, 50)).toEqual([9, 10, 11, 12]);
  });
  it('finds the first day from another', () => {
    expect([firstFrom([1, 3, 5], 0), firstFrom([1, 3, 5], 3), firstFrom([1, 3, 5], 6)]).toEqual([0, 1, 3]);
  });
});

describe('looking closer', () => {
  const whole = { from: 0, to: 1000 * DAY };
  it('keeps what lies under the finger where it is', () => {
    const view = zoomed(whole, whole, 0.5, 250 * DAY);
    expect(view).toEqual({ from: 125 * DAY, to: 625 * DAY });
    expect((250 * DAY - view.from) / (view.to - view.from)).toBeCloseTo(0.25, 12);
  });
  it('goes no closer than a week and no wider than all', () => {
    expect(zoomed(whole, whole, 1e-9, 0)).toEqual({ from: 0, to: 7 * DAY });
    expect(zoomed({ from: 5 * DAY, to: 20 * DAY }, whole, 1e9, 0)).toEqual(whole);
    const short = { from: 0, to: 3 * DAY };
    expect(zoomed(short, short, 0.1, DAY)).toEqual(short);
  });
  it('stops at the ends', () => {
    expect(panned({ from: 10 * DAY, to: 20 * DAY }, whole, -99 * DAY)).toEqual({ from: 0, to: 10 * DAY });
    expect(panned({ from: 10 * DAY, to: 20 * DAY }, whole, 9999 * DAY)).toEqual({
      from: 990 * DAY,
      to: whole.to,
    });
  });
  it('two fingers that spread to twice show half, and what they hold stays under them', () => {
    const view = pinched(whole, whole, [0.4, 0.6], [0.3, 0.7]);
    expect(view.from / DAY).toBeCloseTo(250, 6);
    expect(view.to / DAY).toBeCloseTo(750, 6);
    const moved = pinched(view, whole, [0.2, 0.6], [0.3, 0.7]);
    expect((moved.to - moved.from) / DAY).toBeCloseTo(500, 6);
    expect(moved.from / DAY).toBeCloseTo(200, 6);
  });
  it('has keys for all of it, and leaves the others alone', () => {
    const closer = keyed('+', whole, whole);
    expect(closer).toEqual({ from: 200 * DAY, to: 800 * DAY });
    expect(keyed('0', closer ?? whole, whole)).toEqual(whole);
    expect(keyed('ArrowLeft', closer ?? whole, whole)?.from).toBe(80 * DAY);
    expect(keyed('Tab', whole, whole)).toBeUndefined();
  });
  it('stays on the same days when newer ones come, and on all of it if it was all', () => {
    const longer = { from: 0, to: 1001 * DAY };
    expect(carried(whole, whole, longer)).toEqual(longer);
    expect(carried({ from: DAY, to: 9 * DAY }, whole, longer)).toEqual({ from: DAY, to: 9 * DAY });
    expect(isWhole(whole, whole)).toBe(true);
  });
});

describe('axes', () => {
  it.each([
    [0, 3.1, 0, 4],
    [0, 12, 0, 15],
    [-4.2, 19, -5, 20],
    [0, 0, 0, 1],
    [5, 5, 5, 10],
  ])('%d to %d: %d to %d', (low, high, from, to) => {
    const axis = niceAxis(low, high);
    expect([axis.low, axis.high]).toEqual([from, to]);
    expect(axis.ticks[0]).toBe(from);
    expect(axis.ticks.at(-1)).toBe(to);
  });
  it('ticks stand on the first of months, and January says its year', () => {
    const ticks = dayTicks({ from: at('2025-10-20'), to: at('2026-03-20') }, 6);
    expect(ticks.map((tick) => new Date(tick.at).getUTCDate())).toEqual([1, 1, 1, 1, 1]);
    expect(ticks[2]?.words).toBe('2026');
    expect(dayTicks({ from: at('2000-01-01'), to: at('2000-12-31') }, 12, true)[0]?.words).toMatch(/Jan/);
  });
  it.each([1, 3, 9, 40, 100, 400, 1200, 4000])('never has too many over %d days', (days) => {
    const ticks = dayTicks({ from: at('2020-02-27'), to: at('2020-02-27') + days * DAY }, 5);
    expect(ticks.length).toBeLessThanOrEqual(6);
  });
});

const picture: TimePicture = {
  ...{ kind: 'time', name: 'slugs', title: 'Slugs <& "more"', axis: 'Slugs per board', x: 'day' },
  ...{ whole: { from: at('2026-05-01'), to: at('2026-05-31') }, low: 0, high: 4 },
  layers: [
    {
      kind: 'band',
      label: '95 %',
      tone: 'plank',
      x: [at('2026-05-01'), at('2026-05-11'), at('2026-05-21')],
      low: [0, 1, 1],
      high: [2, 3, null],
    },
    {
      kind: 'line',
      label: 'mean',
      tone: 'ink',
      x: [at('2026-05-01'), at('2026-05-11'), at('2026-05-21')],
      y: [1, 2, null],
    },
    { kind: 'dots', label: 'round', tone: 'ink', shape: 'square', x: [at('2026-05-01')], y: [1] },
    {
      kind: 'flags',
      label: 'treated',
      tone: 'good',
      shape: 'triangle',
      x: [at('2026-05-15'), at('2026-09-01')],
    },
    { kind: 'level', tone: 'bad', y: 3 },
  ],
};

describe('the drawing', () => {
  const frame = { left: 0, top: 0, width: 300, height: 100, view: picture.whole, low: 0, high: 4 };
  it('stays inside its frame and draws what lies in the view only', () => {
    const pen = new SvgPen();
    paint(pen, picture.layers, { ...frame, view: { from: at('2026-05-06'), to: at('2026-05-16') } }, PALETTE);
    const numbers = pen.elements
      .filter(({ tag, attributes }) => tag === 'path' && !attributes['stroke-dasharray'])
      .flatMap(({ attributes }) => String(attributes.d).match(/[ML](-?[\d.]+)/g) ?? [])
      .map((word) => Number(word.slice(1)));
    expect(numbers.length).toBeGreaterThan(5);
    for (const x of numbers) expect(x).toBeGreaterThanOrEqual(-1e-9);
    for (const x of numbers) expect(x).toBeLessThanOrEqual(310);
    expect(pen.elements.filter(({ attributes }) => attributes.fill === '#666')).toHaveLength(1);
  });
  it('is written as XML that names no style and holds every word', () => {
    const pen = new SvgPen();
    const words = { sentence: 'It rose & fell.', source: 'Plot <1>' };
    const height = paintSheet(pen, picture, picture.whole, words, PALETTE);
    const file = svgFile(pen.elements, { width: 960, height }, { title: picture.title, about: words.source });
    expect(file).toContain('Slugs &lt;&amp; &quot;more&quot;');
    expect(file).toContain('It rose &amp; fell.');
    expect(file).not.toMatch(/style=|<image|NaN|undefined|Infinity/);
    expect(file.match(/<path /g)?.length).toBeGreaterThan(12);
  });
  it('has a legend entry for each layer with a name', () => {
    expect(legendOf(picture).map(({ label }) => label)).toEqual(['95 %', 'mean', 'round', 'treated']);
  });
  it('draws rows with open ends and breaks long sentences', () => {
    const rows: RowsPicture = {
      ...{
        kind: 'rows',
        name: 'beds',
        title: 'Beds',
        axis: 'per trap',
        x: 'number',
        whole: { from: 0, to: 2 },
      },
      rows: [
        {
          label: 'Bed',
          value: '1',
          spans: [{ from: 0.5, to: null, tone: 'ink' }],
          marks: [{ at: 1, shape: 'circle', tone: 'ink' }],
        },
      ],
      legend: [],
    };
    const pen = new SvgPen();
    paintRows(pen, rows, { left: 0, top: 0, width: 300 }, PALETTE);
    expect(pen.elements.filter(({ tag }) => tag === 'circle')).toHaveLength(1);
    expect(rowsHeight(rows)).toBeGreaterThan(60);
    expect(JSON.stringify(pen.elements)).not.toMatch(/NaN|null/);
    expect(broken('one two three four', 9)).toEqual(['one two', 'three', 'four']);
  });
});

describe('the file of numbers', () => {
  const columns = [{ file: 'day' }, { file: 'note' }, { file: 'mean_slugs_per_board' }];
  it('is RFC 4180 with its mark of UTF-8, and keeps nothing apart from nought', () => {
    const csv = csvOf({
      columns,
      rows: [
        ['2026-05-01', 'say "so", twice', 0],
        ['2026-05-02', '', null],
      ],
    });
    expect(csv).toBe(
      '\ufeffday,note,mean_slugs_per_board\r\n2026-05-01,"say ""so"", twice",0\r\n2026-05-02,,\r\n',
    );
  });
  it.each(['=1+1', '+1', '-cmd', '@SUM(A1)', '\t=1', ' =1', '|x', '\r=1'])(
    'no cell is a formula: %j',
    (cell) => {
      const line = csvOf({ columns: [{ file: 'a' }], rows: [[cell]] })
        .split('\r\n')
        .slice(1)
        .join('\r\n');
      expect(line).toMatch(/^"'/);
    },
  );
  it('leaves numbers numbers, below nought as well', () => {
    expect(csvOf({ columns: [{ file: 'min_degC' }], rows: [[-2.5]] })).toContain('\r\n-2.5\r\n');
  });
});
