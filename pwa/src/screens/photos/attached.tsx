import { useState } from 'preact/hooks';
import { Button } from '../../parts';
import { saveMany, useLive } from '../../storage';
import { photoStates } from '../../storage/photos';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { asItem, kept } from '../forms/write';
import { HOLD_PHOTOS, loadPhotos, PHOTO_TYPES } from './load';
import { PhotoField } from './photo_field';
import { Thumb } from './picture';
import { Refused } from './sending';
import { PhotoGrid } from './shots';
import { useTaking } from './taking';
import { Viewer } from './viewer';
import './style.css';

/** Photos of a record that is open: to be looked at, and more to be added. */
export function AttachedPhotos(props: AttachedProps) {
  return HOLD_PHOTOS.has(props.type) ? <Attached {...props} /> : null;
}

type AttachedProps = { id: string; type: string; facts: PlotFacts; canWrite: boolean };

function Attached({ id, facts, canWrite }: AttachedProps) {
  // A count that lies further back than the days read here is found by the photo's own record.
  const data = useLive(() => loadPhotos(facts.time_zone, 0, [id]), [...PHOTO_TYPES, 'outbox'], [id]);
  const states = useLive(photoStates, ['photo', 'outbox']);
  const taking = useTaking(`of:${id}`, facts);
  const [open, setOpen] = useState<string | undefined>(undefined);
  if (!data) return null;
  const shots = data.shots.filter((shot) => shot.parent_id === id);
  if (shots.length === 0 && !canWrite) return null;
  const n = taking.taken.length;
  const save = async () => {
    const items = taking.items(id).map(({ type, id: of, set }) => asItem(type, of, set));
    if (await kept(() => saveMany(items))) await taking.clear();
  };
  return (
    <section class="stack-tight" aria-label={t('photos.field')}>
      {shots.length > 0 && (
        <PhotoGrid {...{ shots, data, facts, states }} onOpen={({ key }) => setOpen(key)} />
      )}
      <Refused shots={shots} states={states} />
      {canWrite && <PhotoField taking={taking} />}
      {n > 0 && (
        <Button disabled={taking.progress !== undefined} onClick={() => void save()}>
          {t('photos.add_more', { n })}
        </Button>
      )}
      {open && (
        <Viewer
          {...{ shots, data, facts, states, open }}
          all={data.shots}
          onOpen={setOpen}
          onClose={() => setOpen(undefined)}
        />
      )}
    </section>
  );
}

/** The first few, in a row of the diary. */
export function PhotoStrip({ shas, refused }: { shas: readonly string[]; refused: ReadonlySet<string> }) {
  if (shas.length === 0) return null;
  const shown = shas.slice(0, 4);
  const n = shas.filter((sha) => refused.has(sha)).length;
  return (
    <>
      <span class="photo-strip" role="img" aria-label={t('photos.link_n', { n: shas.length })}>
        {shown.map((sha) => (
          <Thumb key={sha} sha256={sha} alt="" />
        ))}
        {shas.length > shown.length && <span class="soft small">+{shas.length - shown.length}</span>}
      </span>
      {n > 0 && <span class="standing standing-needs_fix">{t('photos.broken_in', { n })}</span>}
    </>
  );
}
