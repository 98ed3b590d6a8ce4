import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import { list } from '../../storage';
import { myReply, say } from './replies';

const ADA = { observer: 'Ada', time_zone: 'Europe/London' };

describe('replies', () => {
  it('are one record a warning, edited further', async () => {
    expect(await myReply('w1')).toBeUndefined();
    expect(await say('w1', { seen: true }, ADA)).toBe(true);
    expect(await say('w1', { acted: true }, ADA)).toBe(true);
    expect(await say('w2', { outcome: 'not_known' }, ADA)).toBe(true);
    const replies = await list('warning_reply');
    expect(replies).toHaveLength(2);
    const first = replies.find(({ body }) => body.warning_id === 'w1');
    expect(first?.id).toBe(await myReply('w1'));
    expect(first?.body).toMatchObject({ seen: true, acted: true, observer: 'Ada' });
    expect(first?.pending).toBe(true);
  });
});
