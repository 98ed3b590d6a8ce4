// Files written by Pillow, not by us: fixtures/photos.

import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { cameraTime } from './exif_time';

function file(name: string): ArrayBuffer {
  const bytes = readFileSync(new URL(`../../../../fixtures/photos/${name}`, import.meta.url));
  return bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer;
}

describe('the camera’s own time', () => {
  test('is when the picture was taken and not when the file was changed, in either byte order', () => {
    expect(cameraTime(file('clock_little_endian.jpg'))).toEqual({ wall: '2026-05-01T05:10:42' });
    expect(cameraTime(file('clock_big_endian.jpg'))).toEqual({
      wall: '2026-05-01T05:10:42',
      offset: '+02:00',
    });
  });

  test('is not found in what is no photo, and a file that is cut off anywhere breaks nothing', () => {
    expect(cameraTime(new ArrayBuffer(0))).toBeUndefined();
    expect(cameraTime(new TextEncoder().encode('<html>').buffer as ArrayBuffer)).toBeUndefined();
    const whole = file('clock_big_endian.jpg');
    for (let end = 0; end < 300; end += 1) {
      const found = cameraTime(whole.slice(0, end));
      expect(found === undefined || found.wall.startsWith('2026-')).toBe(true);
    }
  });
});
