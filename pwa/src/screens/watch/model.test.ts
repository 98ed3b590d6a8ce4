import { describe, expect, it } from 'vitest';
import type { RuleSpec } from '../../generated/api';
import {
  edited,
  faultOf,
  formOf,
  isChanged,
  isTold,
  labelOf,
  threshold,
  watchId,
  watchOf,
  watchSet,
} from './model';

const RULE: RuleSpec = {
  name: 'frost',
  title: 'Frost tonight',
  question: 'Will it freeze?',
  group: 'tonight',
  on: true,
  wake: true,
  source: 'a source',
  settings: [
    { name: 'cost', kind: 'number', default: 1, doc: 'Cost of covering.', low: 0 },
    { name: 'loss', kind: 'number', default: 5, doc: 'Loss without.', low: 0, high: 1000 },
    { name: 'at_c', kind: 'number', default: null, doc: 'Own temperature.', unit: '°C', low: -20, high: 15 },
    { name: 'days', kind: 'whole', default: 3, doc: 'Days.', low: 1, high: 9 },
  ],
};
const [cost, loss, at_c, days] = RULE.settings as [
  RuleSpec['settings'][0],
  RuleSpec['settings'][0],
  RuleSpec['settings'][0],
  RuleSpec['settings'][0],
];
const form = (more = {}) => ({ ...formOf(RULE, undefined, 'degC'), ...more });
const values = (more: Record<string, string>) => form({ values: { ...form().values, ...more } });

describe('the record', () => {
  const PLOT = '6ba7b810-9dad-11d1-80b4-00c04fd430c8';
  it('has one id on every phone, another for each rule', () => {
    expect(watchId(PLOT, 'frost')).toBe(watchId(PLOT.toUpperCase(), 'frost'));
    expect(watchId(PLOT, 'frost')).not.toBe(watchId(PLOT, 'heat'));
  });
  it('is the one with the smallest id where there are two', () => {
    const two = [
      { id: 'b', body: { rule: 'frost' } },
      { id: 'a', body: { rule: 'frost' } },
      { id: '0', body: { rule: 'heat' } },
    ];
    expect(watchOf(two, 'frost')?.id).toBe('a');
    expect(watchOf(two, 'none')).toBeUndefined();
  });
});

describe('the form', () => {
  it('begins with what holds', () => {
    expect(form()).toMatchObject({
      on: true,
      wake: true,
      quiet: true,
      quiet_from: '22:00',
      quiet_to: '06:00',
      channels: ['push', 'email', 'calendar'],
    });
    const body = {
      rule: 'frost',
      on: false,
      settings: { at_c: 2, wake: false },
      channels: ['push' as const],
    };
    expect(formOf(RULE, body, 'degC')).toMatchObject({
      on: false,
      wake: false,
      channels: ['push'],
      values: { cost: '', at_c: '2' },
    });
  });
  it('writes nothing of what is usual', () => {
    expect(watchSet(RULE, form(), undefined, 'degC')).toEqual({ rule: 'frost', on: true });
    expect(watchSet(RULE, values({ loss: '5' }), undefined, 'degC')).toEqual({ rule: 'frost', on: true });
  });
  it('writes what was chosen, and keeps settings of a newer app', () => {
    const body = { rule: 'frost', settings: { later: 7 } };
    const hours = { quiet_from: '21:00', quiet_to: '07:00' };
    const chosen = { ...values({ loss: '12,5' }), ...hours, wake: false, channels: ['push' as const] };
    expect(watchSet(RULE, chosen, body, 'degC')).toEqual({
      rule: 'frost',
      on: true,
      settings: { later: 7, loss: 12.5, wake: false },
      quiet_from: '21:00',
      quiet_to: '07:00',
      channels: ['push'],
    });
  });
  it('says never as from a time to the same time, and shows it so', () => {
    const never = { quiet_from: '00:00', quiet_to: '00:00' };
    expect(watchSet(RULE, { ...form(), quiet: false }, undefined, 'degC')).toMatchObject(never);
    const again = formOf(RULE, { rule: 'frost', ...never }, 'degC');
    expect(again).toMatchObject({ quiet: false, quiet_from: '22:00', quiet_to: '06:00' });
    expect(watchSet(RULE, { ...again, quiet: true }, { rule: 'frost', ...never }, 'degC')).toMatchObject({
      quiet_from: null,
      quiet_to: null,
    });
  });
  it('takes back: usual again, usual hours again, all ways again', () => {
    const body = {
      rule: 'frost',
      settings: { loss: 9 },
      quiet_from: '21:00',
      quiet_to: '07:00',
      channels: ['push' as const],
    };
    const back = { ...form(), values: { ...formOf(RULE, body, 'degC').values, loss: '' } };
    expect(watchSet(RULE, back, body, 'degC')).toEqual({
      rule: 'frost',
      on: true,
      settings: {},
      quiet_from: null,
      quiet_to: null,
      channels: null,
    });
  });
  it('follows the record where it was not touched', () => {
    const theirs = formOf(RULE, { rule: 'frost', on: false, settings: { days: 5 } }, 'degC');
    expect(edited(theirs, { quiet: true, values: { cost: '2' } })).toMatchObject({
      on: false,
      quiet: true,
      values: { cost: '2', days: '5' },
    });
  });
  it('asks for degrees as the plot reads them and keeps Celsius', () => {
    // 35.6 °F is 2 °C.
    const set = watchSet(RULE, values({ at_c: '35.6' }), undefined, 'degF');
    expect((set.settings as Record<string, number>).at_c).toBeCloseTo(2, 9);
    const exact = { rule: 'frost', settings: { at_c: 1.2345 } };
    // What nobody touched is not rounded by being shown.
    expect(watchSet(RULE, formOf(RULE, exact, 'degF'), exact, 'degF').settings).toEqual({ at_c: 1.2345 });
  });
  it.each([
    [cost, '', undefined],
    [cost, 'much', 'fault_number'],
    [cost, '-1', 'fault_low'],
    [loss, '1001', 'fault_range'],
    [days, '2.5', 'fault_whole'],
    [days, '4', undefined],
    [at_c, '-20', undefined],
    [at_c, '-21', 'fault_range'],
  ])('$name $1', (setting, text, fault) => {
    expect(faultOf(setting, text, 'degC')).toBe(fault);
  });
});

it('says apart where a usual value comes from, and no bounds that nobody meets', () => {
  expect(labelOf('How old it may be (common practice, no source).')).toEqual({
    label: 'How old it may be',
    aside: 'common practice, no source',
  });
  expect(labelOf('Days (or nights) to wait.')).toEqual({
    label: 'Days (or nights) to wait',
    aside: '',
  });
  expect([isTold(days), isTold(cost), isTold({ ...days, high: 1e6 })]).toEqual([true, false, false]);
});

describe('cost and loss', () => {
  it('give the chance from which acting pays', () => {
    // Expected loss p L against the certain cost C: p > C/L (Murphy 1977, Mon. Wea. Rev. 105).
    expect(threshold(RULE, form())).toEqual({ cost: 1, loss: 5, p: 0.2 });
    expect(threshold(RULE, values({ cost: '3', loss: '2' }))?.p).toBe(1);
    expect(threshold(RULE, values({ loss: '0' }))).toBeUndefined();
    expect(threshold({ ...RULE, settings: [] }, form())).toBeUndefined();
  });
});

it('is marked as changed only where it differs from the usual', () => {
  expect(isChanged(RULE, undefined)).toBe(false);
  expect(isChanged(RULE, { rule: 'frost', on: true })).toBe(false);
  expect(isChanged(RULE, { rule: 'frost', on: false })).toBe(true);
  expect(isChanged(RULE, { rule: 'frost', settings: { cost: 2 } })).toBe(true);
});
