import { expect, test } from 'vitest';
import { whenFetched } from './when_fetched';

/** Code that comes when it is told to. */
function code() {
  let come = (_: string): void => undefined;
  let fail = (): void => undefined;
  const coming = new Promise<string>((done, no) => {
    come = done;
    fail = () => no(new Error('away'));
  });
  return { coming, come, fail };
}

test('a drawing made while the look changed is made in the colours that hold by then', async () => {
  const { coming, come } = code();
  let look = 'day';
  const made: string[] = [];
  whenFetched(
    coming,
    () => look,
    (pen, colours) => made.push(`${pen} ${colours}`),
    () => made.push('failed'),
  );
  look = 'dawn';
  come('pen');
  await coming;
  expect(made).toEqual(['pen dawn']);
});

test('what was given up meanwhile is not made, and code that cannot be had is told', async () => {
  const first = code();
  const second = code();
  const made: string[] = [];
  const use = (): number => made.push('made');
  const failed = (): number => made.push('failed');
  whenFetched(first.coming, () => '', use, failed)();
  whenFetched(second.coming, () => '', use, failed);
  first.come('pen');
  second.fail();
  await Promise.allSettled([first.coming, second.coming]);
  expect(made).toEqual(['failed']);
});
