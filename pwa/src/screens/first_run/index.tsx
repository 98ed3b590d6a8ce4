import { useState } from 'preact/hooks';
import { path } from '../../parts';
import { list, meta, useLive } from '../../storage';
import { syncState } from '../../sync';
import { noted } from '../forms/plot_facts';
import { Join } from './join';
import { Questions } from './questions';
import { Waiting } from './waiting';
import '../forms/style.css';
import './style.css';

async function standing() {
  const [paired, plots, observer] = await Promise.all([
    meta<{ plot_id: string; plot_name?: string; role?: string }>('paired'),
    list('plot'),
    meta<string>('observer'),
  ]);
  return { paired, plot: plots[0], observer: noted(observer) ?? '' };
}
export type Standing = Awaited<ReturnType<typeof standing>>;

/**
 * From an unknown phone to the first round: join, then, when the plot is empty, the four questions. Also the
 * address that a pairing link opens (`/join#pair=CODE`).
 */
export default function FirstRun() {
  const where = path.value;
  const now = useLive(standing, ['plot', 'member', 'outbox'], [where, syncState.value.phase]);
  if (!now) return <div class="page page-bare" aria-busy="true" />;
  const joining = !now.paired || location.hash.includes('pair=');
  if (joining) return <Join standing={now} />;
  if (now.plot && now.observer !== '') return <Waiting standing={now} />;
  return now.plot ? <Questions standing={now} only_who /> : <NewOrFetching standing={now} />;
}

/** Paired, but no plot record has come yet: it is either still to be fetched or still to be made. */
function NewOrFetching({ standing: now }: { standing: Standing }) {
  const [anew, setAnew] = useState(false);
  const settled = useLive(
    () => meta<{ full?: string; epoch?: string }>('standing'),
    ['plot'],
    [syncState.value.phase],
  );
  const pulled = settled !== undefined && settled.epoch !== '' && settled.full === undefined;
  // A reader's answers would be refused: somebody else sets the plot up.
  if (now.paired?.role === 'reader') return <Waiting standing={now} />;
  if (pulled || anew) return <Questions standing={now} />;
  return <Waiting standing={now} onNew={() => setAnew(true)} />;
}
