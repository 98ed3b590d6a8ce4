import { useEffect, useState } from 'preact/hooks';
import { Button } from '../../parts';
import { loadDraft, saveDraft, useLive } from '../../storage';
import { unsentRemovals } from '../../storage/unsent';
import { syncState } from '../../sync';
import { askPlot } from '../../sync/ask_plot';
import { t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { offered } from '../forms/undo';
import { kept } from '../forms/write';
import { DIARY_TYPES, type DiaryView, momentOf } from './model';
import { whenWords, whoWords } from './past_view';
import { type Group, putBack, type Removed, removedGroups } from './returning';
import { detailOf, type Names, titleOf } from './words';

type Props = { facts: PlotFacts; names: Names; canWrite: boolean };

/** What was removed, by whom, and the press that brings it back. */
export function RemovedPart(props: Props) {
  const [open, setOpen] = useState(false);
  return (
    <details class="diary-filter" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{t('past.removed_title')}</summary>
      {open && <RemovedList {...props} />}
    </details>
  );
}

type Answer = { records: (Removed & { returned_id: string })[] };

function isAnswer(body: unknown): body is Answer {
  const found = body as Partial<Answer> | null | undefined;
  return (
    Array.isArray(found?.records) && found.records.every((one) => typeof one?.id === 'string' && !!one.body)
  );
}

const SHELF = 'removed';
type Shelf = { at: string; answer: Answer };
type Found = { state: 'asking' | 'told' | 'kept' | 'unreached'; records: Removed[]; at?: string };

function useRemoved(plotId: string | undefined): Found {
  const [found, setFound] = useState<Found>({ state: 'asking', records: [] });
  const reached = syncState.value.last_sync_at;
  useEffect(() => {
    if (plotId === undefined) return;
    askPlot(plotId, 'records/removed?limit=200', isAnswer)
      .then(async (answer) => {
        setFound({ state: 'told', records: answer.records });
        await saveDraft(SHELF, { at: new Date().toISOString(), answer }).catch(() => undefined);
      })
      .catch(async () => {
        const old = await loadDraft<Shelf>(SHELF).catch(() => undefined);
        if (old) setFound({ state: 'kept', records: old.answer.records, at: old.at });
        else setFound({ state: 'unreached', records: [] });
      });
  }, [plotId, reached]);
  return found;
}

function RemovedList({ facts, names, canWrite }: Props) {
  const here = useLive(unsentRemovals, ['outbox']);
  const { state, records, at } = useRemoved(facts.plot_id);
  const [done, setDone] = useState<string[]>([]);
  if (!here) return null;
  const own = here.map((one): Removed => ({ ...one, here: true }));
  const all = [...own, ...records.filter(({ id }) => !own.some((one) => one.id === id))];
  const groups = removedGroups(all).filter(
    ({ whole }) => DIARY_TYPES.includes(whole.type) && !done.includes(whole.id),
  );
  const back = async (group: Group) => {
    if (!(await kept(() => putBack([group.whole, ...group.parts])))) return;
    setDone([...done, group.whole.id]);
    offered.value = undefined;
  };
  return (
    <div class="stack-tight">
      <StateWords state={state} at={at} names={names} />
      {groups.length === 0 && state === 'told' && <p class="soft">{t('past.removed_none')}</p>}
      <ul class="removed-list">
        {groups.map((group) => (
          <li key={group.whole.id}>
            <RemovedWords group={group} names={names} />
            {canWrite && <Button onClick={() => void back(group)}>{t('past.put_back_all')}</Button>}
          </li>
        ))}
      </ul>
    </div>
  );
}

function StateWords({ state, at, names }: { state: Found['state']; at: string | undefined; names: Names }) {
  if (state === 'told') return null;
  const words =
    state === 'kept' && at
      ? t('past.removed_as_of', { when: whenWords(at, names) })
      : t(state === 'asking' ? 'past.asking' : 'past.removed_unreached');
  return (
    <p class="soft small" role="status">
      {words}
    </p>
  );
}

function RemovedWords({ group, names }: { group: Group; names: Names }) {
  const { whole, parts } = group;
  const view = whole as DiaryView;
  const at = momentOf(view);
  const day = at ? dayWords(localDay(at, names.time_zone), localDay(new Date(), names.time_zone)) : '';
  const who = whole.here
    ? t('past.removed_here')
    : t('past.removed_by', {
        who: whoWords(whole.device),
        when: whole.received_at ? whenWords(whole.received_at, names) : '',
      });
  const n = parts.length;
  const withWhat = n > 0 ? t(whole.type === 'round' ? 'past.with_counts' : 'past.with_steps', { n }) : '';
  return (
    <span class="grow">
      <strong>{titleOf(view, names)}</strong>{' '}
      <span>{[day, detailOf(view, names), withWhat].filter(Boolean).join(' · ')}</span>
      <span class="soft small removed-who">{who}</span>
    </span>
  );
}
