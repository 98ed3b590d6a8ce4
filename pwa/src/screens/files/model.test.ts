import { expect, it } from 'vitest';
import type { Stay } from '../../sync/plot_files';
import { staysByReason } from './model';

it('what an undo left is told by reason, first what waits for a person', () => {
  const stay = (id: string, why: Stay['why']): Stay => ({
    ...{ id, why, type: 'slug_count', label: '', observed_at: null },
  });
  const stays = [stay('a', 'named'), stay('b', 'edited'), stay('c', 'conflict'), stay('d', 'edited')];
  expect(staysByReason(stays).map(({ why, stays: of }) => [why, of.map(({ id }) => id)])).toEqual([
    ['conflict', ['c']],
    ['edited', ['b', 'd']],
    ['named', ['a']],
  ]);
  expect(staysByReason([])).toEqual([]);
});
