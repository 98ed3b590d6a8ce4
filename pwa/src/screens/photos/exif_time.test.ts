// Files written by Pillow, not by us: fixtures/photos.

import { describe, expect, test } from 'vitest';
import { cameraTime } from './exif_time';

const files = import.meta.glob<string>('../../../../fixtures/photos/*.jpg', {
  eager: true,
  import: 'default',
  query: '?inline',
});

/** Given as a data: address. */
function file(name: string): ArrayBuffer {
  const [, base64 = ''] = (files[`../../../../fixtures/photos/${name}`] ?? '').split('base64,');
  return Uint8Array.from(atob(base64), (char) => char.charCodeAt(0)).buffer;
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
