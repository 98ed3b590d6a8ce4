/** A photo made small and silent: at most 1600 px, upright, JPEG, with nothing of the camera's data in it. */
export interface Picture {
  bytes: ArrayBuffer;
  width: number;
  height: number;
  /** The same at most 320 px, to be looked through with no network. */
  thumb: ArrayBuffer;
}

const LONGEST = 1600;
const QUALITY = 0.8;
const THUMB_LONGEST = 320;
const THUMB_QUALITY = 0.7;

/** Draw the file anew, which leaves out place, camera and everything else that is not the picture. */
export async function pictureOf(file: Blob): Promise<Picture> {
  const whole = await createImageBitmap(file, { imageOrientation: 'from-image' });
  try {
    const size = fitted(whole.width, whole.height, LONGEST);
    const bytes = await drawn(whole, size, QUALITY);
    const thumb = await drawn(whole, fitted(whole.width, whole.height, THUMB_LONGEST), THUMB_QUALITY);
    return { bytes, ...size, thumb };
  } finally {
    whole.close();
  }
}

/** Its size when its longer side has at most `longest` points; never larger than it is. */
export function fitted(width: number, height: number, longest: number): { width: number; height: number } {
  const scale = Math.min(1, longest / Math.max(width, height));
  return {
    width: Math.max(1, Math.round(width * scale)),
    height: Math.max(1, Math.round(height * scale)),
  };
}

async function drawn(
  whole: ImageBitmap,
  size: { width: number; height: number },
  quality: number,
): Promise<ArrayBuffer> {
  const canvas = document.createElement('canvas');
  Object.assign(canvas, size);
  const pen = canvas.getContext('2d');
  if (!pen) throw new Error('no drawing surface');
  pen.imageSmoothingQuality = 'high';
  // JPEG knows no holes: what is see-through in a drawing would turn black.
  pen.fillStyle = '#fff';
  pen.fillRect(0, 0, size.width, size.height);
  pen.drawImage(whole, 0, 0, size.width, size.height);
  const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/jpeg', quality));
  if (!blob) throw new Error('the picture could not be written');
  return await blob.arrayBuffer();
}
