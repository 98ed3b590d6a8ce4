import { list } from '../../storage';
import { forgetPhoto, namedInDrafts } from '../../storage/photos';

const NAMING = ['photo', 'slug_count', 'trap_catch', 'note', 'damage', 'crop_event', 'treatment'] as const;

/** Take off this phone what no record and no form names any more. A picture may be of two things. */
export async function forgetUnnamed(shas: readonly string[]): Promise<void> {
  const named = new Set<string>(await namedInDrafts(shas));
  for (const views of await Promise.all(NAMING.map((type) => list(type)))) {
    for (const { body } of views) {
      if (typeof body.sha256 === 'string') named.add(body.sha256);
      for (const ref of (body.photos as { sha256?: string }[] | undefined) ?? [])
        named.add(String(ref.sha256));
    }
  }
  for (const sha256 of shas) if (!named.has(sha256)) await forgetPhoto(sha256);
}
