import { describe, expect, it } from 'vitest';
import {
  caughtOn,
  isDay,
  keyingPath,
  orderMark,
  pagesOf,
  ROWS_ON,
  readAddress,
  rowsOf,
  type SheetRow,
} from './model';

const PLACES = new Map([['p', 'Bed 1']]);
const rows = (n: number): SheetRow[] =>
  Array.from({ length: n }, (_, i) => ({ id: `s${i}`, label: `Board ${i + 1}`, place: 'Bed 1' }));

it('a trap sheet says what its numbers are of', () => {
  const [bait, beetle] = [{}, { beetles: true as const }];
  expect(caughtOn([bait, bait])).toBe('wireworms');
  expect(caughtOn([beetle])).toBe('beetles');
  expect(caughtOn([bait, beetle])).toBe('both');
});

describe('rows', () => {
  const stations = [
    { id: 'b2', kind: 'slug_board', label: 'Two', place_id: 'p', walk_order: 2 },
    { id: 'b1', kind: 'slug_board', label: 'One', place_id: 'p', walk_order: 1 },
    { id: 'old', kind: 'slug_board', label: 'Old', walk_order: 0, retired_on: '2026-05-01' },
    { id: 't', kind: 'bait_trap', label: 'Trap', walk_order: 3 },
    { id: 'm', kind: 'thermometer', label: 'Frame', walk_order: 4 },
  ];

  it('are the stations of the kind in walking order, those taken away left out from their day on', () => {
    expect(rowsOf('dawn', stations, PLACES, '2026-06-01').map(({ label }) => label)).toEqual(['One', 'Two']);
    expect(rowsOf('dawn', stations, PLACES, '2026-04-01').map(({ label }) => label)).toEqual([
      'Old',
      'One',
      'Two',
    ]);
    expect(rowsOf('trap', stations, PLACES, '2026-06-01').map(({ id }) => id)).toEqual(['t']);
    expect(rowsOf('readings', stations, PLACES, '2026-06-01').map(({ id }) => id)).toEqual(['m']);
  });

  it('carry the name of their place', () => {
    expect(rowsOf('dawn', stations, PLACES, '2026-06-01')[0]?.place).toBe('Bed 1');
  });
});

describe('pages', () => {
  it('hold 26 boards on one A4 and on two even A5', () => {
    expect(pagesOf(rows(26), 'a4').map((page) => page.length)).toEqual([26]);
    expect(pagesOf(rows(26), 'a5').map((page) => page.length)).toEqual([13, 13]);
  });

  it('lose no row and keep the order, however many there are', () => {
    for (const paper of ['a4', 'a5'] as const) {
      for (let n = 0; n <= 120; n += 1) {
        const pages = pagesOf(rows(n), paper);
        expect(pages.flat().map(({ id }) => id)).toEqual(rows(n).map(({ id }) => id));
        expect(Math.max(...pages.map((page) => page.length))).toBeLessThanOrEqual(ROWS_ON[paper]);
        if (n > 0) expect(Math.min(...pages.map((page) => page.length))).toBeGreaterThan(0);
      }
    }
  });
});

describe('the address in the corner', () => {
  const plot_id = '0193e2a4-0000-7000-8000-000000000001';

  it('comes back as it was written, with and without a day', () => {
    const whole = { plot_id, kind: 'dawn', day: '2026-05-10', order: 'a1b2c3' } as const;
    const open = { plot_id, kind: 'trap', order: 'a1b2c3' } as const;
    expect(readAddress(keyingPath(whole).split('?')[1] ?? '')).toEqual(whole);
    expect(readAddress(keyingPath(open).split('?')[1] ?? '')).toEqual(open);
  });

  it('is refused when it names no sheet or no day', () => {
    for (const search of ['', '?k=slugs', '?k=dawn&d=2026-13-01', '?k=dawn&d=2026-02-30', '?k=dawn&d=today'])
      expect(readAddress(search)).toBeUndefined();
  });

  it('notices that a board was moved, added or taken away', () => {
    const printed = orderMark(rows(5));
    expect(orderMark(rows(5))).toBe(printed);
    const [a, b, ...rest] = rows(5) as [SheetRow, SheetRow, ...SheetRow[]];
    expect(orderMark([b, a, ...rest])).not.toBe(printed);
    expect(orderMark(rows(4))).not.toBe(printed);
    expect(printed).toMatch(/^[0-9a-f]{6}$/);
  });
});

it('knows days that the calendar has', () => {
  expect(['2024-02-29', '2026-12-31'].every(isDay)).toBe(true);
  expect(['2026-02-29', '2026-00-10', '26-01-01', ''].some(isDay)).toBe(false);
});
