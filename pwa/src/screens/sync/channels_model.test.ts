import { describe, expect, it } from 'vitest';
import type { Channels, Target } from '../../generated/api';
import { brokenElsewhere, looksLikeMail, phoneStanding, stateKey } from './channels_model';

function target(changes: Partial<Target>): Target {
  return {
    id: 'd1',
    label: 'Phone',
    state: 'ok',
    words: null,
    made_at: '2026-05-01T00:00:00Z',
    last_sent_at: null,
    failing_since: null,
    this_device: true,
    ...changes,
  };
}

function known(...phones: Target[]): Channels {
  return { push: { public_key: 'k', phones }, email: { set_up: true, addresses: [] }, calendar: null };
}

describe('this phone', () => {
  it('says first what stands in the way, whatever the server thinks', () => {
    expect(phoneStanding('insecure', true, known(target({})))).toEqual({ kind: 'hindered', why: 'insecure' });
  });

  it('is on only when the person wants it and the server knows it', () => {
    expect(phoneStanding(undefined, true, known(target({})))).toEqual({ kind: 'on', id: 'd1' });
    expect(phoneStanding(undefined, false, known(target({})))).toEqual({ kind: 'off' });
    expect(phoneStanding(undefined, true, known(target({ this_device: false })))).toEqual({ kind: 'off' });
  });

  it('says what is broken in the server’s words', () => {
    const dead = target({ state: 'dead', words: 'Allow notices again.' });
    expect(phoneStanding(undefined, true, known(dead))).toEqual({
      kind: 'broken',
      id: 'd1',
      words: 'Allow notices again.',
    });
  });
});

it('names the other phones that get nothing', () => {
  const other = target({ id: 'd2', this_device: false, state: 'dead' });
  const well = target({ id: 'd3', this_device: false });
  expect(brokenElsewhere(known(target({ state: 'dead' }), other, well)).map(({ id }) => id)).toEqual(['d2']);
});

it('tells nothing sent yet from all well', () => {
  expect(stateKey(target({}))).toBe('new');
  expect(stateKey(target({ last_sent_at: '2026-05-01T00:00:00Z' }))).toBe('ok');
  expect(stateKey(target({ state: 'failing', last_sent_at: '2026-05-01T00:00:00Z' }))).toBe('failing');
});

it('lets the server judge what may be a mail address', () => {
  expect(['may@example.org', ' a@b '].map(looksLikeMail)).toEqual([true, true]);
  expect(['', 'may', 'may@', '@b', 'a@b@c', 'a b@c'].map(looksLikeMail)).toEqual(Array(6).fill(false));
});
