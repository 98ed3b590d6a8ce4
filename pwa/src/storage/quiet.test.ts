import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { asked, whenQuiet } from './quiet';

beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
});

function question(): { answer: Promise<void>; give: () => void } {
  let give = (): void => undefined;
  const answer = new Promise<void>((done) => {
    give = done;
  });
  return { answer, give };
}

test('waits for every answer, also for one that is asked because of another', async () => {
  const first = question();
  const second = question();
  void asked(first.answer);
  let quiet = false;
  void whenQuiet().then(() => {
    quiet = true;
  });
  await vi.advanceTimersByTimeAsync(1_000);
  expect(quiet).toBe(false);
  first.give();
  await vi.advanceTimersByTimeAsync(100);
  void asked(second.answer);
  await vi.advanceTimersByTimeAsync(1_000);
  expect(quiet).toBe(false);
  second.give();
  await vi.advanceTimersByTimeAsync(200);
  expect(quiet).toBe(true);
});

test('a question that is never answered, or refused, holds nothing up for ever', async () => {
  const never = question();
  void asked(never.answer);
  let quiet = false;
  void whenQuiet(500).then(() => {
    quiet = true;
  });
  await vi.advanceTimersByTimeAsync(499);
  expect(quiet).toBe(false);
  await vi.advanceTimersByTimeAsync(1);
  expect(quiet).toBe(true);
  never.give();
  asked(Promise.reject(new Error('closed'))).catch(() => undefined);
  await vi.advanceTimersByTimeAsync(1);
  let again = false;
  void whenQuiet().then(() => {
    again = true;
  });
  await vi.advanceTimersByTimeAsync(200);
  expect(again).toBe(true);
});
