import { Button, ButtonLink, Card } from '../../parts';
import { syncNow } from '../../sync';
import { inOurWords, t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { loadPhotos, type PhotoData } from '../photos/load';
import type { Shot } from '../photos/model';
import { Thumb } from '../photos/picture';
import { parentWords, placeWords } from '../photos/words';

/** How far back counts are looked for to say what a photo is of. */
const DAYS = 365;

export interface RefusedPhotos {
  photos: { sha256: string; words: string; shot: Shot | undefined }[];
  data: PhotoData | undefined;
}

/** Photos that the server did not take, with its reason and what they are of. */
export async function loadRefused(facts: PlotFacts): Promise<RefusedPhotos> {
  const { loadPhoto, photoStates } = await import('../../storage/photos');
  const broken = [...(await photoStates())].flatMap(([sha256, state]) =>
    state === 'broken' ? [sha256] : [],
  );
  if (broken.length === 0) return { photos: [], data: undefined };
  const data = await loadPhotos(facts.time_zone, DAYS);
  const photos = broken.map(async (sha256) => ({
    sha256,
    words: (await loadPhoto(sha256))?.words ?? '',
    shot: data.shots.find((shot) => shot.sha256 === sha256),
  }));
  return { photos: await Promise.all(photos), data };
}

/** One card for all of them: they hold up nothing else, but only here and where they belong is it to be seen. */
export function RefusedCard({ photos, data }: RefusedPhotos) {
  if (photos.length === 0 || !data) return null;
  const again = async () => {
    const { tryAgain } = await import('../../storage/photos');
    for (const { sha256 } of photos) await tryAgain(sha256);
    await syncNow();
  };
  return (
    <Card tone="bad" icon="camera" title={t('sync.photos_refused', { n: photos.length })}>
      <ul class="stack-tight">
        {photos.map(({ sha256, words, shot }) => (
          <li key={sha256} class="refused-photo">
            <Thumb sha256={sha256} alt="" />
            <span class="grow">
              <strong>{shot ? nameOf(shot, data) : t('photos.of_plot')}</strong>
              <span class="small">{inOurWords(words)}</span>
            </span>
          </li>
        ))}
      </ul>
      <div class="sides">
        <Button onClick={() => void again()}>{t('photos.broken_again')}</Button>
        <ButtonLink to="/photos">{t('sync.photos_see')}</ButtonLink>
      </div>
    </Card>
  );
}

function nameOf(shot: Shot, data: PhotoData): string {
  return shot.caption || parentWords(shot, data) || placeWords(shot, data) || t('photos.of_plot');
}
