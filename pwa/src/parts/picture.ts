/** A photo made small and silent: at most 1600 px, upright, JPEG, with nothing of the camera's data in it. */
export interface Picture {
  bytes: ArrayBuffer;
  width: number;
  height: number;
}

const LONGEST = 1600;
const QUALITY = 0.8;

/** Draw the file anew, which leaves out place, camera and everything else that is not the picture. */
export async function pictureOf(file: Blob): Promise<Picture> {
  const whole = await createImageBitmap(file, { imageOrientation: 'from-image' });
  const scale = Math.min(1, LONGEST / Math.max(whole.width, whole.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(whole.width * scale));
  canvas.height = Math.max(1, Math.round(whole.height * scale));
  const pen = canvas.getContext('2d');
  if (!pen) throw new Error('no drawing surface');
  pen.drawImage(whole, 0, 0, canvas.width, canvas.height);
  whole.close();
  const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/jpeg', QUALITY));
  if (!blob) throw new Error('the picture could not be written');
  return { bytes: await blob.arrayBuffer(), width: canvas.width, height: canvas.height };
}
