import { useRef, useState } from 'preact/hooks';
import { Button, ButtonLink, Card, EmptyState, Notice, TextField } from '../../parts';
import { t } from '../../text';
import { localClock, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import type { Draft } from '../forms/use_draft';
import type { SheetGround } from '../paper/load';
import type { SheetKind, SheetRow } from '../paper/model';
import { Check, type Found } from './check';
import { KeyGrid } from './grid';
import { HeadForm } from './head_form';
import { type Grid, press } from './keys';
import { type Fault, faultsOf, type Keyed, type Tally, tallyOf } from './model';
import { KeyPad } from './pad';
import { lookUp, type Saved, saveSheet } from './save';

type Props = {
  kind: SheetKind;
  day: string | undefined;
  rows: readonly SheetRow[];
  draft: Draft<Keyed>;
  facts: PlotFacts;
  ground: SheetGround;
};

/** The sheet on the screen: its head, its rows, its sum, and what has to be known before it is saved. */
export function KeySheet({ kind, day, rows, draft, facts, ground }: Props) {
  const keyed = draft.value;
  const [faults, setFaults] = useState<Fault[]>([]);
  const [found, setFound] = useState<Found | undefined>(undefined);
  const [saved, setSaved] = useState<Saved | undefined>(undefined);
  const [failed, setFailed] = useState(false);
  const busy = useRef(false);
  const sum = useRef<HTMLDivElement>(null);
  const grid: Grid = { kind, rows: rows.map((row) => row.id) };
  const tally = tallyOf(keyed, kind, rows);
  /** What was found wrong belongs to the sheet as it was. */
  const forget = (): void => {
    setFaults([]);
    setFound(undefined);
  };
  // From what is kept, not from what was last drawn: fast keys come before the next drawing.
  const change = (part: Partial<Keyed>): void => {
    forget();
    draft.change(part);
  };
  const onKey = (key: string): boolean => {
    const done: Keyed[] = [];
    draft.change((now) => {
      const next = press(now, key, grid);
      if (next) done.push(next);
      return next ?? now;
    });
    const [next] = done;
    if (!next) return false;
    forget();
    if (!next.at) sum.current?.querySelector('input')?.focus();
    return true;
  };
  const write = async (join?: string): Promise<void> => {
    if (busy.current) return;
    busy.current = true;
    try {
      setSaved(await saveSheet({ kind, day, rows, keyed, facts, ground, tally }, join));
      await draft.clear();
    } catch {
      setFailed(true);
    }
    busy.current = false;
  };
  const save = async (): Promise<void> => {
    const now = new Date();
    const clock = { day: localDay(now, facts.time_zone), clock: localClock(now, facts.time_zone) };
    const wrong = faultsOf(keyed, kind, rows, clock);
    setFaults(wrong);
    if (wrong.length > 0) return;
    const there = await lookUp({ kind, rows, keyed, facts, ground });
    const differs = kind !== 'readings' && (tally.difference ?? 0) !== 0;
    if (there.earlier.length > 0 || there.already.length > 0 || differs) setFound(there);
    else await write();
  };
  if (saved) return <SavedNote saved={saved} />;
  return (
    <>
      <HeadForm kind={kind} keyed={keyed} facts={facts} onChange={change} />
      <Card title={t('keying.rows')}>
        <p class="soft small">{t(`keying.keys_${kind}`)}</p>
        <KeyGrid
          kind={kind}
          rows={rows}
          keyed={keyed}
          unit={t(`forms.unit_${facts.unit}`)}
          onKey={onKey}
          onCell={(at) => draft.change({ at, fresh: true })}
        />
      </Card>
      {kind !== 'readings' && (
        <div ref={sum}>
          <Sum kind={kind} tally={tally} text={keyed.sum} onText={(text) => change({ sum: text })} />
        </div>
      )}
      {faults.length > 0 && (
        <Notice tone="bad" live>
          <ul>
            {faults.map((fault) => (
              <li key={fault}>{t(`keying.fault_${fault}`)}</li>
            ))}
          </ul>
        </Notice>
      )}
      {failed && (
        <Notice tone="bad" live>
          {t('keying.not_kept')}
        </Notice>
      )}
      {found ? (
        <Check found={found} kind={kind} tally={tally} keyed={keyed} facts={facts} onSave={write} />
      ) : (
        <Button kind="main" wide onClick={() => void save()}>
          {t('keying.save')}
        </Button>
      )}
      {keyed.at && (
        <KeyPad
          kind={kind}
          row={rows.find((row) => row.id === keyed.at?.row)?.label ?? ''}
          at={keyed.at}
          keyed={keyed}
          onKey={onKey}
          onClose={() => draft.change({ at: undefined })}
        />
      )}
    </>
  );
}

type SumProps = { kind: 'dawn' | 'trap'; tally: Tally; text: string; onText: (text: string) => void };

function Sum({ kind, tally, text, onText }: SumProps) {
  const { difference } = tally;
  return (
    <Card title={totalWords(kind, tally)}>
      <p class="soft">
        {[
          tally.n_unturned > 0 &&
            t(kind === 'dawn' ? 'keying.unturned' : 'keying.unlifted', { n: tally.n_unturned }),
          tally.n_empty > 0 && t('keying.left', { n: tally.n_empty }),
        ]
          .filter(Boolean)
          .join(' · ')}
      </p>
      <TextField
        label={t('keying.sum')}
        hint={t('keying.sum_hint')}
        inputMode="numeric"
        maxLength={6}
        value={text}
        onText={onText}
      />
      {difference !== undefined && (
        <Notice tone={difference === 0 ? 'good' : 'bad'} live={difference === 0}>
          {difference === 0
            ? t('keying.agrees')
            : t(difference > 0 ? 'keying.more' : 'keying.fewer', { n: Math.abs(difference) })}
        </Notice>
      )}
    </Card>
  );
}

/** Wireworms and click beetles are never one number, though the sheet's written sum is of both. */
function totalWords(kind: 'dawn' | 'trap', { total, n_numbers, beetles }: Tally): string {
  const others = { total: total - beetles.total, n: n_numbers - beetles.n };
  if (beetles.n === 0) return t(`keying.total_${kind}`, others);
  const words = t('keying.total_beetles', beetles);
  return others.n === 0 ? words : `${t('keying.total_trap', others)}, ${words}`;
}

function SavedNote({ saved }: { saved: Saved }) {
  return (
    <div role="status">
      <EmptyState
        title={t('keying.saved_title')}
        action={
          <div class="stack-tight">
            {saved.n_double > 0 && (
              <ButtonLink kind="main" to="/sync">
                {t('keying.to_sync')}
              </ButtonLink>
            )}
            <ButtonLink to="/diary">{t('keying.to_diary')}</ButtonLink>
            <ButtonLink to="/paper">{t('keying.another')}</ButtonLink>
          </div>
        }
      >
        {t('keying.saved_text', { n: saved.n })}{' '}
        {saved.n_double > 0 && t('keying.saved_double', { n: saved.n_double })}
      </EmptyState>
    </div>
  );
}
