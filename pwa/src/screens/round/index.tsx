import { useEffect, useMemo, useState } from 'preact/hooks';
import type { ScreenProps } from '../../app/routes';
import { nextTodo, type Plank, planksOf, progressOf, type Tap } from '../../domain/round_model';
import { running, stopAdvice } from '../../domain/stop_advice';
import { ButtonLink, EmptyState } from '../../parts';
import { get, loadDraft, saveDraft, useLive, type View } from '../../storage';
import { t } from '../../text';
import { localDay } from '../forms/local_time';
import { type PlotFacts, usePlotFacts } from '../forms/plot_facts';
import { kept } from '../forms/write';
import { FinishSheet } from './finish';
import { RoundHead } from './head';
import { Ladder } from './ladder';
import { beforeRound, boardsOn, countsOf, type Done, TapWriter } from './model';
import { Pad } from './pad';
import { buzz, useWakeLock } from './wake';
import './style.css';

/** Taps that can be taken back. A round has at most a few hundred. */
const UNDO_KEPT = 200;

interface Kept {
  open?: string;
  undo: Done[];
}

export default function RoundScreen({ params }: ScreenProps) {
  const id = params.id ?? '';
  const facts = usePlotFacts();
  const round = useLive(async () => ({ view: await get('round', id) }), ['round'], [id]);
  const draft = useLive(async () => ({ kept: await loadDraft<Kept>(`round:${id}`) }), [], [id]);
  if (!facts || !round || !draft) return <div class="page" aria-busy="true" />;
  if (!round.view) return <Missing title={t('round.missing_title')} text={t('round.missing_text')} to="/" />;
  return <Walk key={id} round={round.view} facts={facts} start={draft.kept ?? { undo: [] }} />;
}

function Walk({ round, facts, start }: { round: View<'round'>; facts: PlotFacts; start: Kept }) {
  useWakeLock();
  const { time_zone, observer } = facts;
  const day = localDay(round.body.observed_at ?? new Date(), time_zone);
  const boards = useLive(() => boardsOn(day), ['station', 'place'], [day]);
  const counts = useLive(() => countsOf(round.id), ['slug_count'], [round.id]);
  const before = useLive(() => beforeRound(round, time_zone), ['round'], [round.id]);
  const writer = useMemo(() => new TapWriter(round.id, observer, time_zone), [round.id, observer, time_zone]);
  const [here, setHere] = useState<Kept>(start);
  const [ending, setEnding] = useState(false);
  const planks = useMemo(() => planksOf(boards ?? [], counts ?? [], observer), [boards, counts, observer]);

  const remember = (change: (now: Kept) => Kept): void => {
    setHere((now) => {
      const next = change(now);
      void kept(() => saveDraft(`round:${round.id}`, next));
      return next;
    });
  };
  const open = planks.find((plank) => plank.board.id === here.open) ?? firstTodo(planks);
  const go = (board: string | undefined): void => {
    if (board === undefined) setEnding(true);
    else remember((now) => ({ ...now, open: board }));
  };

  const tap = async (plank: Plank, what: Tap, moveOn: boolean): Promise<void> => {
    let done: Done | undefined;
    if (!(await kept(async () => (done = await writer.write(plank.board.id, what))))) return;
    if (!done) return;
    buzz();
    const wrote = done;
    remember((now) => ({
      open: moveOn ? (nextTodo(planks, plank.board.id) ?? plank.board.id) : plank.board.id,
      undo: [...now.undo, wrote].slice(-UNDO_KEPT),
    }));
  };
  const undo = async (): Promise<void> => {
    const last = here.undo.at(-1);
    if (!last || !(await kept(() => writer.undo(last)))) return;
    buzz();
    remember((now) => ({ open: last.board_id, undo: now.undo.slice(0, -1) }));
  };

  useEffect(() => {
    document.title = t('shell.title', { screen: t('round.title') });
  }, []);
  if (!boards || !counts) return <div class="page" aria-busy="true" />;
  if (!open)
    return <Missing title={t('round.no_boards_title')} text={t('round.no_boards_text')} to="/plot" plot />;
  const progress = progressOf(planks);
  const mean = running(progress.numbers);
  return (
    <div class="round">
      <RoundHead
        round={round}
        progress={progress}
        mean={mean}
        usual={before?.usual}
        advice={before ? stopAdvice(progress.numbers, before.clumping) : 'go_on'}
        onFinish={() => setEnding(true)}
      />
      <Ladder planks={planks} open={open.board.id} onOpen={go} />
      <Pad
        plank={open}
        canUndo={here.undo.length > 0}
        onTap={(what, moveOn) => void tap(open, what, moveOn)}
        onUndo={() => void undo()}
        onNext={() => go(nextTodo(planks, open.board.id))}
        last={nextTodo(planks, open.board.id) === undefined}
      />
      {ending && (
        <FinishSheet
          round={round}
          facts={facts}
          planks={planks}
          mean={mean}
          usual={before?.usual}
          onClose={() => setEnding(false)}
        />
      )}
    </div>
  );
}

function firstTodo(planks: readonly Plank[]): Plank | undefined {
  return planks.find((plank) => plank.state === 'todo') ?? planks[0];
}

function Missing({ title, text, to, plot }: { title: string; text: string; to: string; plot?: boolean }) {
  return (
    <div class="page">
      <EmptyState
        title={title}
        action={
          <ButtonLink kind="main" to={to}>
            {plot ? t('round.to_plot') : t('shell.to_now')}
          </ButtonLink>
        }
      >
        {text}
      </EmptyState>
    </div>
  );
}
