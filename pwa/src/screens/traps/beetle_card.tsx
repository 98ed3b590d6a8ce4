import { useState } from 'preact/hooks';
import { Button, Card, LongTextField, Sheet, TextField, Toggle } from '../../parts';
import { t } from '../../text';
import { dayWords, localDay, withOffset } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { shownOf, useDraft } from '../forms/use_draft';
import { kept, saveChange, saveNew } from '../forms/write';
import {
  type BeetleCatch,
  type BeetleDraft,
  type BeetleTrap,
  beetleSet,
  beetleTraps,
  EMPTY_READING,
  isWrong,
  withBeetles,
  withState,
} from './beetles';
import type { TrapData } from './load';

type Props = { data: TrapData; facts: PlotFacts; writes: boolean };

/** Beetle traps of the plot: which are due to be read, and what was in them. Nothing where there are none. */
export function BeetleCard({ data, facts, writes }: Props) {
  const [open, setOpen] = useState<string | undefined>(undefined);
  const now = new Date();
  const traps = beetleTraps(data.beetle_traps, data.catches, now, facts.time_zone, data.beetle_days);
  if (traps.length === 0) return null;
  const read = traps.find(({ trap }) => trap.id === open);
  const setUp = ({ trap }: BeetleTrap) =>
    kept(() =>
      saveNew('trap_catch', {
        station_id: trap.id,
        set_at: withOffset(new Date(), facts.time_zone),
        observer: facts.observer,
      }),
    );
  return (
    <Card title={t('traps.beetle_title')} tone={traps.some(({ due }) => due) ? 'glow' : 'plain'}>
      <ul class="trap-list">
        {traps.map((one) => (
          <li key={one.trap.id} class="trap-row">
            <div class="grow">
              <strong>{one.trap.label}</strong>{' '}
              <span class="soft">{data.placeLabel.get(one.trap.place_id ?? '')}</span>
              <p class="small soft">{standingWords(one, data.beetle_days)}</p>
              <p class="small">{caughtWords(one, data.today)}</p>
            </div>
            {writes &&
              (one.set_at === undefined ? (
                <Button
                  aria-label={t('traps.beetle_set_one', { label: one.trap.label })}
                  onClick={() => void setUp(one)}
                >
                  {t('traps.beetle_set')}
                </Button>
              ) : (
                <Button
                  kind={one.due ? 'main' : 'quiet'}
                  aria-label={t('traps.beetle_read_one', { label: one.trap.label })}
                  onClick={() => setOpen(one.trap.id)}
                >
                  {t('traps.beetle_read')}
                </Button>
              ))}
          </li>
        ))}
      </ul>
      {read && (
        <ReadSheet
          trap={read}
          record={data.catches.find(({ id }) => id === read.catch_id)}
          facts={facts}
          onClose={() => setOpen(undefined)}
        />
      )}
    </Card>
  );
}

function standingWords({ days, due }: BeetleTrap, every: number): string {
  if (days === undefined) return t('traps.beetle_not_set');
  return t(due ? 'traps.beetle_due' : 'traps.beetle_stands', { n: days, every });
}

function caughtWords({ last, year }: BeetleTrap, today: string): string {
  if (!last) return '';
  const newest = t('traps.beetle_last', { n: last.beetles, day: dayWords(last.day, today) });
  return year.readings < 2
    ? newest
    : `${newest} ${t('traps.beetle_year', { n: year.beetles, readings: year.readings })}`;
}

const STATES = ['none_found', 'spoiled', 'not_turned'] as const;

type ReadProps = {
  trap: BeetleTrap;
  record: BeetleCatch | undefined;
  facts: PlotFacts;
  onClose: () => void;
};

function ReadSheet({ trap, record, facts, onClose }: ReadProps) {
  const draft = useDraft<BeetleDraft>(`beetles:${trap.trap.id}`, EMPTY_READING, shownOf(record));
  const [busy, setBusy] = useState(false);
  if (!draft.ready) return null;
  const form = draft.value;
  const wrong = isWrong(form);
  const save = async () => {
    setBusy(true);
    const set = beetleSet(form, {
      station_id: trap.trap.id,
      ...(trap.set_at ? { set_at: trap.set_at } : {}),
      observed_at: withOffset(new Date(), facts.time_zone),
      observer: facts.observer,
    });
    // As with bait traps: that nobody could read it today is a record of its own, and the open one stays open.
    const own = form.state === 'not_turned' ? undefined : trap.catch_id;
    const done = await kept(() =>
      own ? saveChange('trap_catch', own, set, draft.shown) : saveNew('trap_catch', set),
    );
    setBusy(false);
    if (!done) return;
    await draft.clear();
    onClose();
  };
  const since = trap.set_at ? localDay(trap.set_at, facts.time_zone) : '';
  const today = localDay(new Date(), facts.time_zone);
  return (
    <Sheet title={t('traps.beetle_read_one', { label: trap.trap.label })} onClose={onClose}>
      {since && (
        <p class="soft small">{t('traps.lift_since', { day: dayWords(since, today), n: trap.days ?? 0 })}</p>
      )}
      <TextField
        label={t('traps.beetles')}
        hint={t('traps.beetles_hint')}
        inputMode="numeric"
        value={form.beetles}
        error={wrong ? t('traps.beetles_fault') : undefined}
        onText={(typed) => draft.change((now) => withBeetles(now, typed))}
      />
      <div class="lift-states">
        {STATES.map((state) => (
          <Button
            key={state}
            aria-pressed={form.state === state}
            onClick={() => draft.change((now) => withState(now, state))}
          >
            {t(`traps.beetle_${state}`)}
          </Button>
        ))}
      </div>
      <Toggle
        label={t('traps.beetle_emptied')}
        on={form.emptied}
        onChange={(emptied) => draft.change({ emptied })}
      />
      <LongTextField label={t('forms.note')} value={form.note} onText={(note) => draft.change({ note })} />
      {form.state === '' && <p class="soft small">{t('traps.beetle_choose')}</p>}
      <Button kind="main" wide disabled={busy || wrong || form.state === ''} onClick={() => void save()}>
        {t('traps.beetle_save')}
      </Button>
    </Sheet>
  );
}
