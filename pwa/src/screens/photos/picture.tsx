import { useEffect, useState } from 'preact/hooks';
import { Icon } from '../../parts';
import { loadPhoto, loadThumb } from '../../storage/photos';
import { originalOf } from '../../sync';

type Bytes = { bytes: ArrayBuffer; mime: string };

/** An address for bytes while they are shown. */
function useAddress(found: Bytes | undefined): string | undefined {
  const [address, setAddress] = useState<string | undefined>(undefined);
  useEffect(() => {
    if (!found) return setAddress(undefined);
    const made = URL.createObjectURL(new Blob([found.bytes], { type: found.mime }));
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [found]);
  return address;
}

/** A small picture; `known` changes when one may have come. A frame with a camera while there is none. */
export function Thumb({ sha256, alt, known }: { sha256: string; alt: string; known?: unknown }) {
  const [found, setFound] = useState<Bytes | undefined>(undefined);
  useEffect(() => {
    let gone = false;
    smallest(sha256)
      .then((bytes) => !gone && setFound(bytes))
      .catch(() => undefined);
    return () => {
      gone = true;
    };
  }, [sha256, found ? undefined : known]);
  const address = useAddress(found);
  if (!address)
    return (
      <span class="photo-blank" role="img" aria-label={alt}>
        <Icon name="camera" />
      </span>
    );
  return <img class="photo-thumb" src={address} alt={alt} loading="lazy" decoding="async" />;
}

/** Photos from before there were small pictures have only their original. */
async function smallest(sha256: string): Promise<Bytes | undefined> {
  const small = await loadThumb(sha256);
  return small ? { bytes: small.bytes, mime: 'image/jpeg' } : await loadPhoto(sha256);
}

export type Whole = {
  address: string | undefined;
  /** `here`: the photo itself; `fetching`, `away`, `not_there`: its small picture in its place, if there is one. */
  state: 'here' | 'fetching' | 'away' | 'not_there';
  again: () => void;
};

/** The photo itself: from this phone, else from the server. */
export function useWhole(sha256: string): Whole {
  const [found, setFound] = useState<Bytes | undefined>(undefined);
  const [state, setState] = useState<Whole['state']>('fetching');
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    let gone = false;
    setState('fetching');
    setFound(undefined);
    const show = (bytes: Bytes | undefined, as: Whole['state']) => {
      if (gone) return;
      if (bytes) setFound(bytes);
      setState(as);
    };
    void (async () => {
      const here = await loadPhoto(sha256).catch(() => undefined);
      if (here) return show(here, 'here');
      show(await smallest(sha256).catch(() => undefined), 'fetching');
      const original = await originalOf(sha256).catch(() => 'away' as const);
      if (typeof original === 'string') show(undefined, original);
      else show(original, 'here');
    })();
    return () => {
      gone = true;
    };
  }, [sha256, turn]);
  useEffect(() => {
    if (state !== 'away') return;
    const again = () => setTurn((n) => n + 1);
    addEventListener('online', again);
    return () => removeEventListener('online', again);
  }, [state]);
  return { address: useAddress(found), state, again: () => setTurn(turn + 1) };
}
