/** From chosen files to photos kept on this phone, one after the other: a phone has room for one large picture. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { pictureOf } from '../../parts/picture';
import { dropDraft, loadDraft, newId, saveDraft } from '../../storage';
import { PhotoRefused, savePhoto } from '../../storage/photos';
import type { PlotFacts } from '../forms/plot_facts';
import { cameraTime } from './exif_time';
import { forgetUnnamed } from './forget';
import { photoItems, type Taken, takenAt, type Written, withTaken } from './model';

/** The data a camera writes stands at the beginning of the file. */
const HEAD_BYTES = 256 * 1024;
/** In one form; that many more can follow. */
export const MOST = 20;

export type TakeFault = { name: string; why: 'full' | 'empty' | 'damaged' | 'unreadable' | 'too_many' };

export interface Taking {
  taken: readonly Taken[];
  caption: string;
  /** While pictures are being made small: how many are done, of how many. */
  progress: { done: number; of: number } | undefined;
  faults: readonly TakeFault[];
  add: (files: readonly File[]) => Promise<void>;
  drop: (sha256: string) => void;
  write: (caption: string) => void;
  /** Records of them, to be saved with (or after) what they are of. */
  items: (parentId: string | undefined) => Written[];
  /** The same for each of several records that one form makes. */
  itemsOf: (parents: readonly { id: string }[]) => Written[];
  /** After saving: the form is empty again. */
  clear: () => Promise<void>;
}

type Kept = { taken: Taken[]; caption: string };
const NOTHING: Kept = { taken: [], caption: '' };

/** Pictures chosen for a form, kept through a reload like everything else typed into it. */
export function useTaking(key: string, facts: Pick<PlotFacts, 'time_zone' | 'observer'>): Taking {
  const draft = `photos:${key}`;
  const [kept, setKept] = useState(NOTHING);
  const [progress, setProgress] = useState<Taking['progress']>(undefined);
  const [faults, setFaults] = useState<TakeFault[]>([]);
  const latest = useRef(NOTHING);
  const show = (next: Kept) => {
    latest.current = next;
    setKept(next);
  };
  useEffect(() => {
    let gone = false;
    loadDraft<Kept>(draft)
      .then((found) => !gone && show({ ...NOTHING, ...found }))
      .catch(() => undefined);
    return () => {
      gone = true;
    };
  }, [draft]);
  const change = async (next: Kept) => {
    show(next);
    await saveDraft(draft, next).catch(() => undefined);
  };
  const add = async (files: readonly File[]) => {
    setFaults([]);
    const room = MOST - latest.current.taken.length;
    const wanted = files.slice(0, room);
    const bad: TakeFault[] = files.slice(room).map(({ name }) => ({ name, why: 'too_many' }));
    for (const [i, file] of wanted.entries()) {
      setProgress({ done: i, of: wanted.length });
      const one = await take(file, facts.time_zone);
      if ('why' in one) bad.push(one);
      else await change({ ...latest.current, taken: withTaken(latest.current.taken, one) });
    }
    setProgress(undefined);
    setFaults(bad);
  };
  const items = (parent_id: string | undefined) => {
    const { taken, caption } = latest.current;
    return photoItems(taken, { parent_id, caption, observer: facts.observer }, newId);
  };
  return {
    ...kept,
    progress,
    faults,
    add,
    drop: (sha256) => {
      const taken = latest.current.taken.filter((one) => one.sha256 !== sha256);
      void change({ ...latest.current, taken }).then(() => forgetUnnamed([sha256]));
    },
    write: (caption) => void change({ ...latest.current, caption }),
    items,
    itemsOf: (parents) => parents.flatMap(({ id }) => items(id)),
    clear: async () => {
      show(NOTHING);
      setFaults([]);
      await dropDraft(draft);
    },
  };
}

async function take(file: File, timeZone: string): Promise<Taken | TakeFault> {
  const { name } = file;
  if (file.size === 0) return { name, why: 'empty' };
  try {
    const camera = cameraTime(await file.slice(0, HEAD_BYTES).arrayBuffer());
    const taken_at = takenAt(camera, file.lastModified, new Date(), timeZone);
    const { bytes, thumb, width, height } = await pictureOf(file);
    const sha256 = await savePhoto(bytes, { mime: 'image/jpeg', taken_at, width, height }, thumb);
    return { sha256, bytes: bytes.byteLength, taken_at };
  } catch (fault) {
    return { name, why: fault instanceof PhotoRefused ? fault.why : 'unreadable' };
  }
}
