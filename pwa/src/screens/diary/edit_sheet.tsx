import { useState } from 'preact/hooks';
import { Button, ButtonLink, Notice, Sheet } from '../../parts';
import { list, newId, saveMany, useLive } from '../../storage';
import { t } from '../../text';
import { AskFirst } from '../forms/ask_first';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { offered, saveTogether } from '../forms/undo';
import { useDraft } from '../forms/use_draft';
import { asItem, kept } from '../forms/write';
import { AttachedPhotos } from '../photos/attached';
import { keptByRecords, type PhotoView, shotsOf } from '../photos/model';
import { ClockNotice } from './clock_notice';
import { CountedTwice } from './counted_twice';
import { EditField, faultWords, labelOf } from './edit_field';
import { EDITABLE, editSet, type FieldFault, type FieldText, fieldsOf, fieldText, unitOf } from './editable';
import { StandingMark } from './entry_row';
import { type DiaryView, momentOf, standingOf } from './model';
import { PastPart } from './past_view';
import { ReadOnly } from './read_only';
import { partsOf, putBack } from './returning';
import { detailOf, type Names, titleOf } from './words';

type Props = {
  view: DiaryView;
  counts: readonly DiaryView[];
  names: Names;
  facts: PlotFacts;
  onOpen: (view: DiaryView) => void;
  onClose: () => void;
};

/** Any record, field by field. Only what was changed is written. */
export function EditSheet({ view, counts, names, facts, onOpen, onClose }: Props) {
  const draft = useDraft<Record<string, FieldText>>(`edit:${view.id}`, {}, view);
  const [faults, setFaults] = useState<Record<string, FieldFault>>({});
  const [idle, setIdle] = useState(false);
  const [saving, setSaving] = useState(false);
  const standing = standingOf(view);
  const canWrite = facts.role !== 'reader';
  const at = momentOf(view);
  const today = localDay(new Date(), names.time_zone);
  const day = at ? dayWords(localDay(at, names.time_zone), today) : '';
  const save = async () => {
    const result = editSet(view.type, view.body, draft.value, names.time_zone, facts.unit);
    setFaults(result.faults);
    if (Object.keys(result.faults).length > 0) return;
    if (Object.keys(result.set).length === 0) return setIdle(true);
    const item = { type: view.type, id: view.id, set: result.set, shown: draft.shown };
    setSaving(true);
    const did = await kept(() => saveTogether([item], t('past.did_save', { what: titleOf(view, names) })));
    setSaving(false);
    if (!did) return;
    await draft.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('diary.edit_title', { what: titleOf(view, names), day })} onClose={onClose}>
      <ClockNotice view={view} counts={counts} canWrite={canWrite} onClose={onClose} />
      {standing !== 'clean' && standing !== 'clock' && (
        <Notice
          tone={standing === 'pending' ? 'plain' : 'bad'}
          action={
            canWrite && (standing === 'conflict' || standing === 'needs_fix') ? (
              <ButtonLink to="/sync">{t('diary.to_settle')}</ButtonLink>
            ) : undefined
          }
        >
          <StandingMark standing={standing} />
        </Notice>
      )}
      {counts.length > 0 && <Counts counts={counts} names={names} onOpen={onOpen} />}
      <CountedTwice view={view} canWrite={canWrite} />
      <Past view={view} />
      {!canWrite && <ReadOnly view={view} names={names} facts={facts} />}
      {(canWrite ? fieldsOf(view.type, view.body) : []).map((field) => (
        <EditField
          key={field.name}
          type={view.type}
          field={field}
          text={draft.value[field.name] ?? fieldText(field, view.body[field.name], names.time_zone)}
          unit={unitOf(field, view.body, facts.unit)}
          fault={faults[field.name]}
          places={names.place}
          onText={(text) => {
            setIdle(false);
            draft.change({ [field.name]: text });
          }}
        />
      ))}
      <FaultSummary type={view.type} faults={faults} />
      {idle && <p role="status">{t('diary.nothing_changed')}</p>}
      <AttachedPhotos id={view.id} type={view.type} facts={facts} canWrite={canWrite} />
      {canWrite && (
        <>
          <Button kind="main" wide aria-busy={saving} onClick={() => void save()}>
            {t('diary.save')}
          </Button>
          <Remove view={view} names={names} onDone={onClose} />
        </>
      )}
      <PastPart view={view} names={names} facts={facts} canWrite={canWrite} onClose={onClose} />
    </Sheet>
  );
}

/** Who wrote it, and whether it was changed since; what was changed stands at the end of the sheet. */
function Past({ view }: { view: DiaryView }) {
  const changed = (view.rev ?? 0) > 1 && standingOf(view) !== 'conflict';
  const who = view.body.observer;
  return (
    <p class="soft small">
      {who ? t('diary.written_by', { who: String(who) }) : ''} {changed && t('diary.changed_since')}
    </p>
  );
}

/** The boards of a round, each to be opened by itself. */
function Counts({
  counts,
  names,
  onOpen,
}: {
  counts: readonly DiaryView[];
  names: Names;
  onOpen: (view: DiaryView) => void;
}) {
  const label = (count: DiaryView) => names.station.get(String(count.body.station_id)) ?? '';
  const byBoard = (a: DiaryView, b: DiaryView) =>
    label(a).localeCompare(label(b), undefined, { numeric: true });
  return (
    <details class="diary-counts">
      <summary>{t('diary.counts_of')}</summary>
      <ul>
        {[...counts].sort(byBoard).map((count) => (
          <li key={count.id}>
            <button type="button" class="diary-entry" onClick={() => onOpen(count)}>
              <span class="grow">
                <strong>{label(count)}</strong> {detailOf(count, names)}{' '}
                <StandingMark standing={standingOf(count)} />
              </span>
            </button>
          </li>
        ))}
      </ul>
    </details>
  );
}

/** Beside the button that was pressed: the faulty field may be far above it. */
function FaultSummary({ type, faults }: { type: string; faults: Record<string, FieldFault> }) {
  return (
    <>
      {(EDITABLE[type] ?? []).map((field) => {
        const fault = faults[field.name];
        if (!fault) return null;
        const words = { field: labelOf(type, field.name), why: faultWords(field, fault) };
        return (
          <p key={field.name} class="field-error">
            {t('diary.mend_first', words)}
          </p>
        );
      })}
    </>
  );
}

/** Removing asks once, in place, says that it is for everybody and what goes with it, and can be undone. */
function Remove({ view, names, onDone }: { view: DiaryView; names: Names; onDone: () => void }) {
  const remove = async () => {
    const gone = [view, ...(await partsOf(view.type, view.id))];
    // Photos that the record only names in its list stay too, by records of their own.
    const stay = keptByRecords(gone, await photosOf(gone), newId);
    const ids = gone.map(({ id }) => (id === view.id ? { id, shown: view } : id));
    const items = stay.map(({ type, id, set }) => asItem(type, id, set));
    if (!(await kept(() => saveMany(items, ids)))) return;
    offered.value = {
      words: t('past.did_remove', { what: titleOf(view, names) }),
      run: () => putBack(gone.map(({ id, type, body }) => ({ id, type, body, here: true }))),
    };
    onDone();
  };
  return (
    <AskFirst label={t('diary.delete')} yes={t('diary.delete_yes')} onYes={() => void remove()}>
      <GoesWithIt view={view} />
    </AskFirst>
  );
}

function GoesWithIt({ view }: { view: DiaryView }) {
  const found = useLive(async () => {
    const parts = await partsOf(view.type, view.id);
    const all = [view, ...parts];
    const photos = new Set((await photosOf(all)).map(({ sha256 }) => sha256));
    return { parts: parts.length, photos: photos.size };
  }, ['slug_count', 'crop_event', 'photo']);
  const { parts, photos } = found ?? { parts: 0, photos: 0 };
  return (
    <p>
      {t('diary.delete_sure')}{' '}
      {parts > 0 &&
        t(view.type === 'round' ? 'diary.delete_with_counts' : 'diary.delete_with_steps', { n: parts })}{' '}
      {photos > 0 && t('diary.delete_photos_stay', { n: photos })}
    </p>
  );
}

/** Photos of records, by records of their own or in the lists of theirs. */
async function photosOf(of: readonly { id: string; type: string; body: Record<string, unknown> }[]) {
  const ids = new Set(of.map(({ id }) => id));
  const own = (await list('photo')).filter(({ body }) => ids.has(String(body.parent_id ?? '')));
  return shotsOf([...of, ...own] as PhotoView[], new Map());
}
