import 'fake-indexeddb/auto';
import { expect, it } from 'vitest';
import { newId, saveMany } from '../../storage';
import { dayPlus, localDay } from '../forms/local_time';
import { asItem } from '../forms/write';
import { load } from './load';

const ZONE = 'Europe/London';
const SHOWN = 31;

it('older days are offered where there are some, and as many as bring the next one', async () => {
  const ago = (days: number): string => `${dayPlus(localDay(new Date(), ZONE), -days)}T12:00:00Z`;
  const offered = async (days = SHOWN) => (await load(ZONE, days)).older;
  expect(await offered()).toBeUndefined();
  await saveMany([asItem('note', newId(), { text: 'today', observed_at: ago(0) })]);
  expect(await offered()).toBeUndefined();
  await saveMany([asItem('temperature', newId(), { observed_at: ago(900) })]);
  expect(await offered()).toBe(900);
  await saveMany([asItem('round', newId(), { kind: 'dawn', observed_at: ago(60) })]);
  expect(await offered()).toBe(60);
  // Kinds that are read in full, and photos of places.
  await saveMany([asItem('treatment', newId(), { kind: 'mulch', observed_at: ago(50) })]);
  expect(await offered()).toBe(50);
  await saveMany([asItem('photo', newId(), { sha256: 'a'.repeat(64), taken_at: ago(40) })]);
  expect(await offered()).toBe(40);
  expect(await offered(60)).toBe(900);
  expect(await offered(900)).toBeUndefined();
});
