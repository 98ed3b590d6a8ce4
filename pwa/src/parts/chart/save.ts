/** Pictures and numbers as files. */
import { CanvasPen } from './canvas_pen';
import { csvOf, type Numbers } from './numbers';
import { SvgPen, svgFile } from './pen';
import type { Palette, Picture, View } from './picture';
import { paintSheet, SHEET_WIDTH, type SheetWords } from './sheet';

/** Twice the units: sharp on paper and on phones. */
const PIXELS = 2;

export function pictureAsSvg(picture: Picture, view: View, words: SheetWords, palette: Palette): string {
  const pen = new SvgPen();
  const height = Math.ceil(paintSheet(pen, picture, view, words, palette));
  const ground = {
    tag: 'rect',
    attributes: { x: 0, y: 0, width: SHEET_WIDTH, height, fill: palette.ground },
  } as const;
  return svgFile(
    [ground, ...pen.elements],
    { width: SHEET_WIDTH, height },
    {
      title: picture.title,
      about: `${words.sentence} ${words.source}`,
    },
  );
}

export async function pictureAsPng(
  picture: Picture,
  view: View,
  words: SheetWords,
  palette: Palette,
): Promise<Blob> {
  const height = Math.ceil(paintSheet(new SvgPen(), picture, view, words, palette));
  const canvas = document.createElement('canvas');
  canvas.width = SHEET_WIDTH * PIXELS;
  canvas.height = height * PIXELS;
  const to = canvas.getContext('2d');
  if (!to) throw new Error('no drawing surface');
  to.fillStyle = palette.ground;
  to.fillRect(0, 0, canvas.width, canvas.height);
  paintSheet(new CanvasPen(to, PIXELS), picture, view, words, palette);
  const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/png'));
  if (!blob) throw new Error('the picture could not be written');
  return blob;
}

export function numbersAsCsv(numbers: Numbers): Blob {
  return new Blob([csvOf(numbers)], { type: 'text/csv;charset=utf-8' });
}

export function download(blob: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // Some phones read the address only after the click has returned.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
