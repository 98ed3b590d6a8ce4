import { expect, test } from 'vitest';
import { fitted } from './picture';

test('a picture is made to fit, keeps its shape, and is never made larger', () => {
  expect(fitted(4000, 3000, 1600)).toEqual({ width: 1600, height: 1200 });
  expect(fitted(2000, 3000, 1600)).toEqual({ width: 1067, height: 1600 });
  expect(fitted(640, 480, 1600)).toEqual({ width: 640, height: 480 });
  expect(fitted(9000, 3, 320)).toEqual({ width: 320, height: 1 });
});
