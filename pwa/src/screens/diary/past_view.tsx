import { useState } from 'preact/hooks';
import type { RecordType } from '../../generated/api';
import { Button } from '../../parts';
import { useLive } from '../../storage';
import { unsentOf } from '../../storage/unsent';
import { t } from '../../text';
import { dayWords, localClock, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { saveTogether } from '../forms/undo';
import { kept } from '../forms/write';
import { valueWords } from '../sync/value_words';
import { labelOf } from './edit_field';
import type { DiaryView } from './model';
import { type Change, type OwnChange, ownChanges, putBackSet, type Step, saidFields } from './past';
import { usePast } from './use_past';
import type { Names } from './words';

type Props = { view: DiaryView; names: Names; facts: PlotFacts; canWrite: boolean; onClose: () => void };

/** What was changed in a record: acts of this phone at once, the server's log when it is asked for. */
export function PastPart(props: Props) {
  const [open, setOpen] = useState(false);
  return (
    <details class="diary-past" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{t('past.title')}</summary>
      {open && <Told {...props} />}
    </details>
  );
}

function Told(props: Props) {
  const { view, names, facts } = props;
  const unsent = useLive(() => unsentOf(view.id), [view.type as RecordType, 'outbox'], [view.id]);
  const { past, state, kept_at, more } = usePast(view.id, facts.plot_id, (view.rev ?? 0) > 0);
  const earlier = text(view.body.returned_from);
  if (!unsent) return null;
  const own = ownChanges(unsent.base, unsent.ops, (view.rev ?? 0) === 0);
  const changes = past?.changes ?? [];
  return (
    <div class="stack-tight">
      <StateWords state={state} kept_at={kept_at} names={names} />
      <ol class="past-list">
        {own.map((change) => (
          <OwnRow key={change.op_id} {...props} change={change} />
        ))}
        {changes.map((change) => (
          <ChangeRow key={change.op_id} {...props} change={change} />
        ))}
      </ol>
      {changes.length === 1 && own.length === 0 && <p class="soft small">{t('past.nothing')}</p>}
      {more && (
        <Button kind="quiet" onClick={more}>
          {t('past.earlier')}
        </Button>
      )}
      {earlier && <Before {...props} id={earlier} />}
    </div>
  );
}

const text = (value: unknown): string | undefined =>
  typeof value === 'string' && value !== '' ? value : undefined;

/** The past of the removed record that this one brought back. */
function Before(props: Props & { id: string }) {
  const [open, setOpen] = useState(false);
  const view = { ...props.view, id: props.id, rev: 1, body: { ...props.view.body, returned_from: '' } };
  return (
    <>
      <p class="soft small">{t('past.came_back')}</p>
      {open ? (
        <Told {...props} view={view} canWrite={false} />
      ) : (
        <Button kind="quiet" onClick={() => setOpen(true)}>
          {t('past.before_removal')}
        </Button>
      )}
    </>
  );
}

function StateWords(props: { state: string; kept_at: string | undefined; names: Names }) {
  const { state, kept_at, names } = props;
  if (state === 'told') return null;
  const words =
    state === 'kept' && kept_at
      ? t('past.as_of', { when: whenWords(kept_at, names) })
      : t(`past.${state as 'asking'}`);
  return (
    <p class="soft small" role="status">
      {words}
    </p>
  );
}

export function whenWords(at: string | Date, names: Pick<Names, 'time_zone'>): string {
  const zone = names.time_zone;
  return `${dayWords(localDay(at, zone), localDay(new Date(), zone))} ${localClock(at, zone)}`;
}

export function whoWords(device: string | null | undefined): string {
  return device || t('past.someone');
}

function OwnRow(props: Props & { change: OwnChange }) {
  const { change, names } = props;
  const when = change.at ? whenWords(change.at, names) : '';
  return (
    <li>
      <Head what={t(`past.${change.what}`)} by={[t('past.here'), when]} />
      {change.what !== 'made' && <Steps {...props} />}
    </li>
  );
}

function ChangeRow(props: Props & { change: Change }) {
  const { change, names } = props;
  const { why, what } = change;
  const title =
    what === 'kept' && why === 'delete-vs-edit'
      ? 'kept_removal'
      : what === 'kept' && why === 'deleted'
        ? 'kept_after'
        : what;
  const by = [t('past.by', { who: whoWords(change.device) }), whenWords(change.received_at, names)];
  return (
    <li>
      <Head what={t(`past.${title}`)} by={by} />
      {what !== 'made' && what !== 'removed' && <Steps {...props} />}
      {what === 'kept' && <p class="small">{outcomeWords(change, names)}</p>}
    </li>
  );
}

function Head({ what, by }: { what: string; by: string[] }) {
  return (
    <p>
      <strong>{what}</strong> <span class="soft small">{by.filter(Boolean).join(' · ')}</span>
    </p>
  );
}

function outcomeWords({ outcome, settled }: Change, names: Names): string {
  if (!settled || !outcome || outcome === 'open') return t('past.open');
  return t(`past.${outcome}`, { who: whoWords(settled.device), when: whenWords(settled.received_at, names) });
}

/** Each field with both values, and the press that brings the other one back. */
function Steps(props: Props & { change: { what: Change['what']; fields: Step[] } }) {
  const { change, view, names } = props;
  return (
    <ul class="past-steps">
      {saidFields(change.fields).map((step) => (
        <li key={step.name}>
          <span>
            {t(change.what === 'kept' ? 'past.kept_step' : 'past.step', {
              field: labelOf(view.type, step.name),
              from: words(view.type, step.name, step.from, names),
              to: words(view.type, step.name, step.to, names),
            })}
          </span>
          <PutBack {...props} step={step} />
        </li>
      ))}
    </ul>
  );
}

function words(type: string, name: string, value: unknown, names: Names): string {
  return value === null || value === undefined ? t('past.blank') : valueWords(type, name, value, names);
}

function PutBack(props: Props & { change: { what: Change['what']; fields: Step[] }; step: Step }) {
  const { change, view, names, step, canWrite, onClose } = props;
  const set = putBackSet(view.type, change, step.name, view.body);
  if (!canWrite || !set || view.deleted) return null;
  const isBlank = set[step.name] === null;
  const isKept = change.what === 'kept';
  const value = words(view.type, step.name, set[step.name], names);
  const field = labelOf(view.type, step.name);
  const act = async () => {
    const item = { type: view.type, id: view.id, set, shown: view };
    if (await kept(() => saveTogether([item], t('past.did_put_back', { field })))) onClose();
  };
  return (
    <Button onClick={() => void act()}>
      {isBlank ? t('past.put_back_blank') : t(isKept ? 'past.take_meant' : 'past.put_back', { value })}
    </Button>
  );
}
