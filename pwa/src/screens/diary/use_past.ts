import { useEffect, useState } from 'preact/hooks';
import { loadDraft, saveDraft } from '../../storage';
import { syncState } from '../../sync';
import { askPlot } from '../../sync/ask_plot';
import { isPast, joined, type Kept, type Past, withPast } from './past';

/** asking; told by the server; kept from the last time; unreached with nothing kept; never_home: nothing was sent. */
export type PastState = 'asking' | 'told' | 'kept' | 'unreached' | 'never_home';

interface Found {
  past: Past | undefined;
  state: PastState;
  kept_at: string | undefined;
  /** Asks for the page before; undefined when all is told or nothing can be asked. */
  more: (() => void) | undefined;
}

/** Where the pasts that were looked at last are kept. */
const SHELF = 'pasts';

/** The server's change log of a record, page by page; without a network the copy of the last time. */
export function usePast(id: string, plotId: string | undefined, isHome: boolean): Found {
  const [past, setPast] = useState<Past | undefined>(undefined);
  const [state, setState] = useState<PastState>(isHome ? 'asking' : 'never_home');
  const [keptAt, setKeptAt] = useState<string | undefined>(undefined);
  const reached = syncState.value.last_sync_at;
  useEffect(() => {
    if (!isHome || plotId === undefined) return;
    let gone = false;
    const show = (found: Past | undefined, now: PastState, at?: string) => {
      if (gone) return;
      setPast(found);
      setState(now);
      setKeptAt(at);
    };
    ask(plotId, id)
      .then(async (found) => {
        show(found, 'told');
        await keep(found);
      })
      .catch(async () => {
        const old = (await shelf()).find((one) => one.past.record_id === id);
        show(old?.past, old ? 'kept' : 'unreached', old?.at);
      });
    return () => {
      gone = true;
    };
    // Asked again after each sync: what was only here is then in the server's log.
  }, [id, plotId, isHome, reached]);
  const before = past?.next_before;
  const more =
    state === 'told' && past && before && plotId !== undefined
      ? () => {
          ask(plotId, id, before).then(
            (older) => setPast(joined(past, older)),
            () => setState('kept'),
          );
        }
      : undefined;
  return { past, state, kept_at: keptAt, more };
}

async function ask(plotId: string, id: string, before?: number): Promise<Past> {
  const query = before === undefined ? '' : `?before=${before}`;
  return await askPlot(plotId, `records/${id}/history${query}`, isPast);
}

async function shelf(): Promise<Kept[]> {
  const kept = await loadDraft<{ pasts: Kept[] }>(SHELF).catch(() => undefined);
  return kept?.pasts ?? [];
}

async function keep(past: Past): Promise<void> {
  const pasts = withPast(await shelf(), past, new Date().toISOString());
  await saveDraft(SHELF, { pasts }).catch(() => undefined);
}
