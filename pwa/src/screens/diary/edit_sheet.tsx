import { useState } from 'preact/hooks';
import type { RecordType } from '../../generated/api';
import {
  Button,
  ButtonLink,
  Field,
  LongTextField,
  Notice,
  SelectField,
  Sheet,
  TextField,
  Toggle,
} from '../../parts';
import { remove } from '../../storage';
import { type TextKey, t } from '../../text';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { kept, saveChange } from '../forms/write';
import { EDITABLE, type Editable, editSet, type FieldFault, type FieldText, fieldText } from './editable';
import { StandingMark } from './entry_row';
import { type DiaryView, momentOf, standingOf } from './model';
import { choiceWords, detailOf, type Names, titleOf } from './words';

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
  const draft = useDraft<Record<string, FieldText>>(`edit:${view.id}`, {});
  const [faults, setFaults] = useState<Record<string, FieldFault>>({});
  const [idle, setIdle] = useState(false);
  const standing = standingOf(view);
  const at = momentOf(view);
  const today = localDay(new Date(), names.time_zone);
  const day = at ? dayWords(localDay(at, names.time_zone), today) : '';
  const save = async () => {
    const result = editSet(view.type, view.body, draft.value, names.time_zone, facts.unit);
    setFaults(result.faults);
    if (Object.keys(result.faults).length > 0) return;
    if (Object.keys(result.set).length === 0) return setIdle(true);
    if (!(await kept(() => saveChange(view.type as RecordType, view.id, result.set)))) return;
    await draft.clear();
    onClose();
  };
  if (!draft.ready) return null;
  return (
    <Sheet title={t('diary.edit_title', { what: titleOf(view, names), day })} onClose={onClose}>
      {standing !== 'clean' && (
        <Notice
          tone={standing === 'pending' ? 'plain' : 'bad'}
          action={
            standing === 'conflict' || standing === 'needs_fix' ? (
              <ButtonLink to="/sync">{t('diary.to_settle')}</ButtonLink>
            ) : undefined
          }
        >
          <StandingMark standing={standing} />
        </Notice>
      )}
      {counts.length > 0 && <Counts counts={counts} names={names} onOpen={onOpen} />}
      {(EDITABLE[view.type] ?? []).map((field) => (
        <EditField
          key={field.name}
          type={view.type}
          field={field}
          text={draft.value[field.name] ?? fieldText(field, view.body[field.name], names.time_zone)}
          unit={(view.body[field.name] as { unit?: string } | undefined)?.unit ?? facts.unit}
          fault={faults[field.name]}
          onText={(text) => {
            setIdle(false);
            draft.change({ [field.name]: text });
          }}
        />
      ))}
      <FaultSummary type={view.type} faults={faults} />
      {idle && <p role="status">{t('diary.nothing_changed')}</p>}
      <Button kind="main" wide onClick={() => void save()}>
        {t('diary.save')}
      </Button>
      <Delete id={view.id} onDone={onClose} />
    </Sheet>
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

type FieldProps = {
  type: string;
  field: Editable;
  text: FieldText;
  unit: string;
  fault: FieldFault | undefined;
  onText: (text: FieldText) => void;
};

function EditField({ type, field, text, unit, fault, onText }: FieldProps) {
  const label = labelOf(type, field.name);
  const error = fault && faultWords(field, fault);
  if (field.kind === 'flag') return <Toggle label={label} on={text === true} onChange={onText} />;
  const words = String(text);
  if (field.kind === 'choice') {
    return (
      <SelectField
        label={label}
        value={words}
        choices={[
          ...(words === '' ? [{ value: '', label: t('diary.unset') }] : []),
          ...field.choices.map((value) => ({ value, label: choiceWords(value) })),
        ]}
        onChoose={onText}
      />
    );
  }
  if (field.kind === 'long_text') return <LongTextField label={label} value={words} onText={onText} />;
  if (field.kind === 'moment') {
    return (
      <Field label={label} error={error}>
        {(ids) => (
          <input
            {...ids}
            class="input"
            type="datetime-local"
            value={words}
            onInput={(event) => onText(event.currentTarget.value)}
          />
        )}
      </Field>
    );
  }
  const shownUnit =
    field.kind === 'temperature'
      ? t(`forms.unit_${unit as 'degC'}`)
      : 'unit' in field
        ? field.unit
        : undefined;
  return (
    <TextField
      label={shownUnit ? `${label}, ${shownUnit}` : label}
      error={error}
      type={field.kind === 'day' ? 'date' : 'text'}
      inputMode={field.kind === 'whole' ? 'numeric' : 'text'}
      value={words}
      onText={onText}
    />
  );
}

/** `count` is slugs but for crops, where it is pieces. */
function labelOf(type: string, name: string): string {
  return t(type === 'crop_event' && name === 'count' ? 'crops.count' : (`diary.f_${name}` as TextKey));
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

function faultWords(field: Editable, fault: FieldFault): string {
  const range = 'min' in field ? { min: field.min, max: field.max } : {};
  return t(`diary.${fault}`, range);
}

/** Deleting asks once, in place, and says that it is for everybody. */
function Delete({ id, onDone }: { id: string; onDone: () => void }) {
  const [sure, setSure] = useState(false);
  if (!sure) {
    return (
      <Button kind="bad" onClick={() => setSure(true)}>
        {t('diary.delete')}
      </Button>
    );
  }
  return (
    <Notice tone="bad" live>
      <p>{t('diary.delete_sure')}</p>
      <div class="row">
        <Button kind="bad" onClick={async () => (await kept(() => remove(id))) && onDone()}>
          {t('diary.delete_yes')}
        </Button>
        <Button kind="quiet" onClick={() => setSure(false)}>
          {t('parts.cancel')}
        </Button>
      </div>
    </Notice>
  );
}
