import { Button, SelectField, TextField, Toggle } from '../../parts';
import type { Plan, Preview, Refusal } from '../../sync/plot_files';
import { t } from '../../text';
import { countedWords, needsStation, targetWords, typeWords } from './model';

type Props = {
  look: Preview;
  plan: Plan;
  busy: boolean;
  onPlan: (plan: Plan) => void;
  onTake: () => void;
  onLeave: () => void;
};

/** How the file is read and what it would bring; every guess can be corrected. */
export function Look({ look, plan, busy, onPlan, onTake, onLeave }: Props) {
  const words = countedWords(look.would_take);
  return (
    <div class="stack-tight">
      <h3>{t('files.how')}</h3>
      {!look.own && (
        <SelectField
          label={t('files.rows_are')}
          value={look.type}
          choices={look.types.map((value) => ({ value, label: typeWords(value) }))}
          onChoose={(type) => onPlan({ ...plan, type, columns: {} })}
        />
      )}
      {!look.own &&
        look.columns.map((column) => <ColumnField key={column.head} {...{ column, look, plan, onPlan }} />)}
      {needsStation(look) && (
        <TextField
          label={t('files.station')}
          hint={t('files.station_hint')}
          value={plan.station ?? ''}
          onText={(station) => onPlan({ ...plan, station })}
        />
      )}
      {(look.date_order_is_open || plan.day_first !== undefined) && (
        <Toggle
          label={t('files.day_first')}
          hint={t('files.day_first_hint')}
          on={look.day_first}
          onChange={(day_first) => onPlan({ ...plan, day_first })}
        />
      )}
      <p role="status">{words ? t('files.would', { what: words }) : t('files.nothing_new')}</p>
      {look.here_already > 0 && <p class="soft small">{t('files.here', { n: look.here_already })}</p>}
      <Refusals refused={look.refused} refusals={look.refusals} />
      <div class="files-sides">
        {words && (
          <Button kind="main" disabled={busy} onClick={onTake}>
            {t('files.take')}
          </Button>
        )}
        <Button disabled={busy} onClick={onLeave}>
          {t('files.leave')}
        </Button>
      </div>
    </div>
  );
}

type ColumnProps = Pick<Props, 'look' | 'plan' | 'onPlan'> & { column: Preview['columns'][number] };

function ColumnField({ column, look, plan, onPlan }: ColumnProps) {
  // A column that is a board's own stays what it is.
  const own = column.is.startsWith('station:') ? [{ value: column.is, label: column.is.slice(8) }] : [];
  return (
    <SelectField
      label={t('files.column', { head: column.head })}
      value={plan.columns?.[column.head] ?? column.is}
      choices={[
        { value: '', label: t('files.left_out') },
        ...own,
        ...look.choices.map((value) => ({ value, label: targetWords(value) })),
      ]}
      onChoose={(is) => onPlan({ ...plan, columns: { ...plan.columns, [column.head]: is } })}
    />
  );
}

const SHOWN = 20;

/** Rows that stay out, each with its reason. */
export function Refusals({ refused, refusals }: { refused: number; refusals: Refusal[] }) {
  if (refused === 0) return null;
  return (
    <>
      <p>{t('files.refused', { n: refused })}</p>
      <ul class="files-refused">
        {refusals.slice(0, SHOWN).map((one) => (
          <li key={`${one.row} ${one.field} ${one.why}`}>
            {t('files.row', { n: one.row })} <span lang="en">{one.why}</span>
          </li>
        ))}
      </ul>
      {refused > SHOWN && <p class="soft small">{t('files.more', { n: refused - SHOWN })}</p>}
    </>
  );
}
