import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { ScreenProps } from '../../app/routes';
import { type Counter, nextTodo, type Plank, planksOf, progressOf, type Tap } from '../../domain/round_model';
import { running, stopAdvice } from '../../domain/stop_advice';
import { ButtonLink, EmptyState } from '../../parts';
import { useLive, type View } from '../../storage';
import { t } from '../../text';
import { mayRecord } from '../forms/plot_facts';
import { kept } from '../forms/write';
import { FinishSheet } from './finish';
import { RoundHead } from './head';
import { Ladder } from './ladder';
import { beforeRound, countsOf, type Opened, openRound, TapWriter } from './model';
import { Pad } from './pad';
import { buzz, useWakeLock } from './wake';
import { useStand, type Walking, withDone, withoutLast, withPhoto } from './walk';

export default function RoundScreen({ params }: ScreenProps) {
  const id = params.id ?? '';
  const opened = useLive(() => openRound(id), ['plot', 'round', 'station', 'place'], [id]);
  if (!opened) return <div class="page" aria-busy="true" />;
  const { round } = opened;
  if (!round) return <Missing title={t('round.missing_title')} text={t('round.missing_text')} to="/" />;
  return <Walk key={id} {...opened} round={round} />;
}

type WalkProps = Opened & { round: View<'round'> };

function Walk({ round, facts, me, boards, counts: found, stand }: WalkProps) {
  useWakeLock();
  useEffect(() => {
    document.title = t('shell.title', { screen: t('round.title') });
  }, []);
  const { time_zone } = facts;
  const writes = mayRecord(facts);
  const counts = useLive(() => countsOf(round.id), ['slug_count'], [round.id], found) ?? found.value;
  // Months of counts are read only when the boards can be seen: a thumb waits for those alone.
  const seen = useSeen();
  const before = useLive(
    async () => (seen ? await beforeRound(round, time_zone) : undefined),
    ['round'],
    [round.id, seen],
  );
  const walking = useStand(round.id, stand ?? { undo: [] });
  const [ending, setEnding] = useState(false);
  const planks = useMemo(() => planksOf(boards, counts, me), [boards, counts, me]);
  const progress = useMemo(() => progressOf(planks), [planks]);
  const mean = useMemo(() => running(progress.numbers), [progress]);
  const hands = useHands(round.id, me, time_zone, walking, planks);

  const typing = useFigures(writes);
  const open = planks.find((plank) => plank.board.id === walking.shown.open) ?? firstTodo(planks);
  if (!open)
    return <Missing title={t('round.no_boards_title')} text={t('round.no_boards_text')} to="/plot" plot />;
  const next = nextTodo(planks, open.board.id);
  typing.current = (count) => void hands.tap(open, { kind: 'count', count }, false);
  const go = (board: string): void => walking.change({ ...walking.now(), open: board });
  return (
    <div class="round">
      <RoundHead
        planks={planks}
        progress={progress}
        mean={mean}
        usual={before?.usual}
        advice={before ? stopAdvice(progress.numbers, before.clumping) : undefined}
        onFinish={writes ? () => setEnding(true) : undefined}
      />
      <Ladder planks={planks} open={open.board.id} onOpen={go} />
      {writes ? (
        <Pad
          plank={open}
          held={walking.shown.photos?.[open.board.id]?.length ?? 0}
          canUndo={walking.shown.undo.length > 0}
          onTap={(what, moveOn) => void hands.tap(open, what, moveOn)}
          onUndo={() => void hands.undo()}
          onNext={() => (next === undefined ? setEnding(true) : go(next))}
          last={next === undefined}
        />
      ) : (
        <p class="round-reads soft">{t('forms.reader_only')}</p>
      )}
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

/** A number typed on a keyboard (app/keyboard.tsx) is one tap on the open board. */
function useFigures(writes: boolean): { current: (count: number) => void } {
  const typing = useRef<(count: number) => void>(() => undefined);
  useEffect(() => {
    const take = (event: Event): void => typing.current((event as CustomEvent<number>).detail);
    if (writes) addEventListener('underboard-count', take);
    return () => removeEventListener('underboard-count', take);
  }, [writes]);
  return typing;
}

/** False until the first picture is on the screen. */
function useSeen(): boolean {
  const [seen, see] = useState(false);
  useEffect(() => {
    const frame = requestAnimationFrame(() => setTimeout(() => see(true)));
    return () => cancelAnimationFrame(frame);
  }, []);
  return seen;
}

/** What the thumb does: a tap is written first, then remembered for undo, then felt. */
function useHands(
  roundId: string,
  me: Counter,
  timeZone: string,
  walking: Walking,
  planks: readonly Plank[],
): { tap: (plank: Plank, what: Tap, moveOn: boolean) => Promise<void>; undo: () => Promise<void> } {
  const writer = useMemo(() => new TapWriter(roundId, me, timeZone), [roundId, me, timeZone]);
  const tap = async (plank: Plank, what: Tap, moveOn: boolean): Promise<void> => {
    const board = plank.board.id;
    if (what.kind === 'photo' && !plank.mine) {
      walking.change(withPhoto(walking.now(), board, { sha256: what.sha256, bytes: what.bytes }));
      return;
    }
    await kept(async () => {
      const done = await writer.write(board, what, walking.now().photos?.[board]);
      if (!done) return;
      buzz();
      // Somebody who has gone on to another board meanwhile is not pulled back.
      const at = walking.now().open ?? board;
      const to = moveOn && at === board ? (nextTodo(planks, board) ?? board) : at;
      walking.change(withDone(walking.now(), done, to));
    });
  };
  const undo = async (): Promise<void> => {
    await writer.settled();
    const before = walking.now();
    const without = withoutLast(before);
    if (!without) return;
    walking.change(without.stand);
    if (await kept(() => writer.undo(without.last))) buzz();
    else walking.change(before);
  };
  return { tap, undo };
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
            {plot ? t('round.to_plot') : t('round.to_now')}
          </ButtonLink>
        }
      >
        {text}
      </EmptyState>
    </div>
  );
}
