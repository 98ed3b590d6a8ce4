import { expect, it } from 'vitest';
import { validityOf } from '../traps/model';
import { known } from './known';

it('drops what was cleared and nothing else', () => {
  expect(known({ a: null, b: 0, c: '', d: false, e: undefined })).toEqual({
    b: 0,
    c: '',
    d: false,
    e: undefined,
  });
});

it('a soil temperature that was taken back is unknown, not a fault', () => {
  const record = known({
    id: 'c',
    station_id: 't',
    state: 'counted',
    set_at: '2026-04-01T08:00:00Z',
    observed_at: '2026-04-12T08:00:00Z',
    soil: null,
  });
  expect(validityOf(record as never, 'Europe/London')).toMatchObject({
    valid: undefined,
    reasons: ['no_soil'],
  });
});
