/**
 * When a camera says that it took a picture: the one thing read from a file before everything else in it is left
 * behind. Pure. Tags: CIPA DC-008 (Exif 2.32), 4.6.3 and 4.6.5; layout: TIFF 6.0, section 2; segments: ITU-T T.81,
 * annex B.
 */

export interface CameraTime {
  /** `2026-05-01T05:10:00` on the camera's clock. */
  wall: string;
  /** `+01:00`, if the camera wrote it. */
  offset?: string;
}

const EXIF_IFD = 0x8769;
const DATE_TIME = 0x0132;
const DATE_TIME_ORIGINAL = 0x9003;
const OFFSET_TIME_ORIGINAL = 0x9011;

/** The time in a JPEG's Exif segment; undefined when there is none that can be read. */
export function cameraTime(file: ArrayBuffer): CameraTime | undefined {
  try {
    const tiff = exifOf(new DataView(file));
    if (!tiff) return undefined;
    const first = entries(tiff, long(tiff, 4));
    const inner = first.get(EXIF_IFD);
    const exif = inner === undefined ? new Map<number, number>() : entries(tiff, long(tiff, inner + 8));
    const text = textAt(tiff, exif.get(DATE_TIME_ORIGINAL)) ?? textAt(tiff, first.get(DATE_TIME));
    const wall = wallOf(text ?? '');
    if (!wall) return undefined;
    const offset = textAt(tiff, exif.get(OFFSET_TIME_ORIGINAL));
    return offset && /^[+-]\d\d:\d\d$/.test(offset) ? { wall, offset } : { wall };
  } catch {
    return undefined; // cut off in the middle: it points outside
  }
}

type Tiff = { view: DataView; little: boolean };

function exifOf(view: DataView): Tiff | undefined {
  if (view.byteLength < 4 || view.getUint16(0) !== 0xffd8) return undefined;
  for (let at = 2; at + 4 <= view.byteLength; ) {
    const marker = view.getUint16(at);
    if (marker === 0xffda || marker >> 8 !== 0xff) return undefined; // the picture itself begins
    const size = view.getUint16(at + 2);
    // "Exif" and two noughts
    if (marker === 0xffe1 && view.getUint32(at + 4) === 0x45786966) {
      const start = view.byteOffset + at + 10;
      const tiff = new DataView(view.buffer, start, Math.min(size - 8, view.buffer.byteLength - start));
      return { view: tiff, little: tiff.getUint16(0) === 0x4949 };
    }
    at += 2 + size;
  }
  return undefined;
}

function long({ view, little }: Tiff, at: number): number {
  return view.getUint32(at, little);
}

/** Where each entry of a directory begins, by its tag. */
function entries({ view, little }: Tiff, at: number): Map<number, number> {
  const found = new Map<number, number>();
  const count = view.getUint16(at, little);
  for (let i = 0; i < count; i += 1) found.set(view.getUint16(at + 2 + i * 12, little), at + 2 + i * 12);
  return found;
}

function textAt(tiff: Tiff, entry: number | undefined): string | undefined {
  if (entry === undefined) return undefined;
  const length = long(tiff, entry + 4);
  const at = length > 4 ? long(tiff, entry + 8) : entry + 8;
  let text = '';
  for (let i = 0; i < Math.min(length, 64); i += 1) {
    const code = tiff.view.getUint8(at + i);
    if (code === 0) break;
    text += String.fromCharCode(code);
  }
  return text;
}

/** `2026:05:01 05:10:00` as Exif writes it. Cameras with an empty battery write noughts or blanks. */
function wallOf(text: string): string | undefined {
  const found = /^(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)/.exec(text);
  if (!found) return undefined;
  const [, year, month, day, hour, minute, second] = found;
  const wall = `${year}-${month}-${day}T${hour}:${minute}:${second}`;
  return Number(year) > 1990 && !Number.isNaN(Date.parse(`${wall}Z`)) ? wall : undefined;
}
