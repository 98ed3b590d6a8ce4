// A saving act either saves or says that it has not.

import 'fake-indexeddb/auto';
import { afterEach, expect, test, vi } from 'vitest';
import { get, save, saveTrouble } from '../../storage';
import { TROUBLE } from '../../storage/trouble';
import { kept } from './write';

const AT = '2026-05-01T05:10:00+01:00';

afterEach(() => {
  vi.restoreAllMocks();
});

test('an act that fails at what it reads before it writes says "not saved"; the next one takes that back', async () => {
  expect(await kept(() => save('note', 'n1', { text: 'one', observed_at: AT }))).toBe(true);
  expect(saveTrouble.value).toBeNull();
  vi.spyOn(IDBDatabase.prototype, 'transaction').mockImplementation(() => {
    throw new DOMException('Connection to Indexed Database server lost.', 'UnknownError');
  });
  expect(await kept(() => get('note', 'n1'))).toBe(false);
  expect(saveTrouble.value).toBe(TROUBLE.dead);
  vi.restoreAllMocks();
  expect(await kept(() => save('note', 'n2', { text: 'two', observed_at: AT }))).toBe(true);
  expect(saveTrouble.value).toBeNull();
});
