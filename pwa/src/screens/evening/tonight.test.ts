import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import { saveMany } from '../../storage';
import { asItem } from '../forms/write';
import { decide, eveningFacts, loadTonight } from './tonight';

const c = (value: number) => ({ value, unit: 'degC' });
const FACTS = {
  plot: undefined,
  plot_id: 'p',
  time_zone: 'Europe/London',
  unit: 'degC' as const,
  habit: 'morning' as const,
  observer: 'Ada',
  role: 'owner',
};
const NOW = new Date('2026-05-12T21:30:00+01:00');
const evening = (id: string, place_id: string, observed_at: string, air: number) =>
  asItem('evening', id, { place_id, observed_at, air: c(air), wet: c(air - 1), sky: 'clear', wind: 'calm' });

describe('an evening in the words of the decision', () => {
  it('has its dew point whatever was measured', () => {
    // 5 °C at 90 %: dew point 3.495 °C (Magnus, WMO No. 8, annex 4.B); 41 °F is 5 °C.
    const f = { value: 41, unit: 'degF' as const };
    expect(eveningFacts({ air: f, humidity_percent: 90 })?.dew_c).toBeCloseTo(3.495, 3);
    expect(eveningFacts({ air: { value: 5, unit: 'degC' }, dew: { value: 2, unit: 'degC' } })?.dew_c).toBe(2);
  });
  it('has none where nothing was measured, or what was measured cannot be', () => {
    expect(eveningFacts({ air: { value: 5, unit: 'degC' } })).toMatchObject({ evening_c: 5, dew_c: null });
    const above = { air: { value: 5, unit: 'degC' as const }, wet: { value: 7, unit: 'degC' as const } };
    expect(eveningFacts(above)?.dew_c).toBeNull();
    expect(eveningFacts({})).toBeUndefined();
  });
});

describe('tonight on the phone', () => {
  it('reads the open air, what stands, what was seen since; and says on which nights it rests', async () => {
    await saveMany([
      asItem('place', 'bed', { kind: 'bed', label: 'South bed' }),
      asItem('place', 'tun', { kind: 'tunnel', label: 'Tunnel' }),
      asItem('station', 's1', { kind: 'thermometer', exposure: 'screen', place_id: 'bed', walk_order: 1 }),
      asItem('station', 's2', {
        kind: 'thermometer',
        exposure: 'under_cover',
        place_id: 'tun',
        walk_order: 0,
      }),
      asItem('crop', 'tom', { kind: 'Tomato', place_id: 'tun' }),
      asItem('crop_event', 'e1', {
        crop_id: 'tom',
        what: 'planted',
        observed_at: '2026-05-01T10:00:00+01:00',
      }),
      evening('v1', 'bed', '2026-05-12T20:40:00+01:00', 6),
      evening('v2', 'bed', '2026-05-12T21:10:00+01:00', 5),
      evening('v3', 'tun', '2026-05-12T21:20:00+01:00', 11),
      evening('v4', 'bed', '2026-05-11T21:10:00+01:00', 1),
      asItem('temperature', 't1', {
        station_id: 's1',
        observed_at: '2026-05-12T21:25:00+01:00',
        current: c(4.5),
      }),
      asItem('temperature', 't0', {
        station_id: 's1',
        observed_at: '2026-05-12T20:00:00+01:00',
        current: c(-8),
      }),
    ]);
    const tonight = await loadTonight(FACTS, NOW);
    expect(tonight).toMatchObject({
      night: '2026-05-12',
      basis: 'public',
      n_nights: 0,
      crops: [{ crop_id: 'tom', kind: 'Tomato', place_id: 'tun' }],
      evening: { id: 'v2' },
      seen_c: { '': 4.5 },
      unsent_at: Date.parse('2026-05-12T21:25:00+01:00'),
    });
    const told = decide(tonight, { evening_c: 5, dew_c: 2, sky: 'clear', wind: 'calm' });
    // The mean drop of the four public stations is 4.647 °C (means 6.796, 3.598, 2.645, 5.549 in public_nights.ts).
    expect(told?.min_c).toBeCloseTo(5 - 4.647, 3);
    expect(told?.fitted_to_plot).toBe(false);
    expect(told?.places.map(({ place_id }) => place_id)).toEqual(['tun']);
  });

  it('goes by what the server has learned as soon as it has', async () => {
    const frost_fit = { n: 12, method: 'mean_drop', intercept: -6, evening_coef: 1, rmse_residual: 1 };
    await saveMany([
      asItem('learned', 'l', { frost_fit, offsets: { tun: { plan_with_c: -0.5, sd_c: 0.3 } } }),
      asItem('watch', 'w', { rule: 'frost', settings: { at_c: 2 } }),
    ]);
    const tonight = await loadTonight(FACTS, NOW);
    expect(tonight).toMatchObject({ basis: 'learned', n_nights: 12, settings: { at_c: 2 } });
    const told = decide(tonight, { evening_c: 5, dew_c: 2, sky: 'clear', wind: 'calm' });
    expect(told).toMatchObject({ min_c: -1, by_own: true, fires: true });
    expect(told?.places[0]?.min_c).toBeCloseTo(-1.5, 10);
    // A sky that is not clear still meets the person's own temperature, by no chance.
    const cloudy = decide(tonight, { evening_c: 5, dew_c: 2, sky: 'overcast', wind: 'calm' });
    expect(cloudy).toMatchObject({ by_chance: false, by_own: true, clear: false });
  });
});
