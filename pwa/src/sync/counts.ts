// The three numbers that are always shown: only on this phone, needs you, photos waiting.

import { type CountInRound, unsettledDoubles } from '../domain/double_counts';
import { changes } from '../storage/changes';
import { inSteps } from '../storage/days';
import { records, store } from '../storage/phone';
import { rememberNeeds, setSync, syncState } from './state';
import { STUCK_AFTER } from './view';

const AT_MOST_EVERY_MS = 200;
/** Double counts take a reading of many rows: not after every tap of a round, and not over all the years. */
const DOUBLES_AFTER_MS = 800;
const DOUBLES_DAYS = 60;
/** Read in steps: between them a tap gets its turn. */
const STEP_DAYS = 6;

/** Unknown until they are counted: what was remembered stands that long, if it is more. */
let doubles: number | undefined;

export async function refreshCounts(): Promise<void> {
  const { ops, photos, refused } = await store.read(['outbox', 'photos'], async (tx) => ({
    ops: await tx.all('outbox'),
    photos: await tx.waitingPhotos(),
    refused: await tx.photosIn('broken'),
  }));
  const needs = (await records.needsYou()).length + refused.length;
  setSync({
    only_here: new Set(ops.map((op) => op.id)).size,
    stuck: new Set(ops.filter((op) => op.retries >= STUCK_AFTER).map((op) => op.id)).size,
    needs_you: doubles === undefined ? Math.max(needs, syncState.value.needs_you) : needs + doubles,
    photos_waiting: photos.length,
  });
  if (doubles !== undefined) rememberNeeds(needs + doubles);
}

async function recountDoubles(): Promise<void> {
  const from = new Date(Date.now() - DOUBLES_DAYS * 86_400_000).toISOString().slice(0, 10);
  const counts: CountInRound[] = [];
  await inSteps(from, DOUBLES_DAYS + 2, STEP_DAYS, async (stretch) => {
    const found = await records.list('slug_count', stretch);
    for (const { body } of found) counts.push(known(body));
    return found.length;
  });
  doubles = unsettledDoubles(counts).length;
  await refreshCounts();
}

/** A cleared field is null in a body; the rules know only fields that are there. */
function known(body: object): CountInRound {
  return Object.fromEntries(Object.entries(body).filter(([, value]) => value !== null)) as CountInRound;
}

/** Keep them fresh; many changes in a row cost one count. */
export function watchCounts(): void {
  let due: ReturnType<typeof setTimeout> | undefined;
  const refresh = () => {
    due = undefined;
    refreshCounts().catch(() => undefined);
  };
  let doublesDue: ReturnType<typeof setTimeout> | undefined;
  const refreshDoubles = () => {
    doublesDue = undefined;
    recountDoubles().catch(() => undefined);
  };
  changes.subscribe(({ types }) => {
    if (due === undefined) due = setTimeout(refresh, AT_MOST_EVERY_MS);
    if (!types.has('slug_count') && !types.has('*')) return;
    clearTimeout(doublesDue);
    doublesDue = setTimeout(refreshDoubles, DOUBLES_AFTER_MS);
  });
  refresh();
  doublesDue = setTimeout(refreshDoubles, DOUBLES_AFTER_MS);
}
