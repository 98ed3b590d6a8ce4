import 'fake-indexeddb/auto';
import { expect, test } from 'vitest';
import { dropDraft, save, saveDraft } from '../../storage';
import { loadPhoto, savePhoto } from '../../storage/photos';
import { forgetUnnamed } from './forget';

const COUNT = '01890000-0000-7000-8000-00000000000a';
const picture = (n: number): ArrayBuffer => new Uint8Array([n, 1, 2]).buffer as ArrayBuffer;
const info = { mime: 'image/jpeg', taken_at: '2020-05-01T06:00:00Z' };

test('a picture that an old count names stays on the phone when it is taken away elsewhere', async () => {
  const sha256 = await savePhoto(picture(1), info);
  await save('slug_count', COUNT, { observed_at: '2020-05-01T06:00:00Z', photos: [{ sha256, bytes: 3 }] });
  await forgetUnnamed([sha256]);
  expect((await loadPhoto(sha256))?.state).toBe('waiting');
});

test('a picture that another half-filled form holds stays until that one is done with it', async () => {
  const sha256 = await savePhoto(picture(2), info);
  await saveDraft('photos:of:x', { taken: [{ sha256, bytes: 3, taken_at: '' }], caption: '' });
  await forgetUnnamed([sha256]);
  expect(await loadPhoto(sha256)).toBeDefined();
  await dropDraft('photos:of:x');
  await forgetUnnamed([sha256]);
  expect(await loadPhoto(sha256)).toBeUndefined();
});
