/** Beetle traps: emptied once a week, and how many click beetles were in them. Pure. */
import { localDay } from '../forms/local_time';
import { BEETLE_DAYS, type Catch, type Trap, trapsNow } from './in_ground';

export interface BeetleCatch extends Catch {
  beetles?: number;
}
export interface BeetleTrap {
  trap: Trap;
  /** Since when it stands or was last emptied; absent when it is not set. */
  set_at?: string;
  days?: number;
  due: boolean;
  /** The record that waits for its catch. */
  catch_id?: string;
  /** The newest reading that says a number. */
  last?: { beetles: number; day: string };
  /** All of this year, and how many readings that is. */
  year: { beetles: number; readings: number };
}

/** Every beetle trap, those that are due first. */
export function beetleTraps(
  traps: readonly Trap[],
  catches: readonly BeetleCatch[],
  now: Date,
  timeZone: string,
  every = BEETLE_DAYS,
): BeetleTrap[] {
  const { in_ground } = trapsNow(traps, catches, now, timeZone);
  const year = localDay(now, timeZone).slice(0, 4);
  const found = traps.map((trap): BeetleTrap => {
    const stands = in_ground.find((one) => one.trap.id === trap.id);
    const read = readingsOf(trap, catches, timeZone);
    const last = read.at(-1);
    const own = read.filter(({ day }) => day.startsWith(year));
    return {
      trap,
      ...(stands ? { set_at: stands.set_at, days: stands.days } : {}),
      ...(stands?.catch_id ? { catch_id: stands.catch_id } : {}),
      due: stands !== undefined && stands.days >= every,
      ...(last ? { last } : {}),
      year: { beetles: own.reduce((sum, { beetles }) => sum + beetles, 0), readings: own.length },
    };
  });
  return found.sort((a, b) => Number(b.due) - Number(a.due));
}

function readingsOf(trap: Trap, catches: readonly BeetleCatch[], timeZone: string) {
  return catches
    .filter(({ station_id, observed_at }) => station_id === trap.id && observed_at !== undefined)
    .sort((a, b) => Date.parse(a.observed_at ?? '') - Date.parse(b.observed_at ?? ''))
    .flatMap(({ beetles, state, observed_at = '' }) => {
      const n = state === 'none_found' ? 0 : state === 'counted' ? beetles : undefined;
      return n === undefined ? [] : [{ beetles: n, day: localDay(observed_at, timeZone) }];
    });
}

export interface BeetleDraft {
  state: '' | 'counted' | 'none_found' | 'spoiled' | 'not_turned';
  beetles: string;
  emptied: boolean;
  note: string;
}
export const EMPTY_READING: BeetleDraft = { state: '', beetles: '', emptied: true, note: '' };

/** A typed number decides the state; nought is "none in it". */
export function withBeetles(draft: BeetleDraft, beetles: string): BeetleDraft {
  const n = numberIn(beetles);
  return { ...draft, beetles, state: n === undefined ? '' : n > 0 ? 'counted' : 'none_found' };
}

export function withState(draft: BeetleDraft, state: BeetleDraft['state']): BeetleDraft {
  return { ...draft, state, beetles: state === 'none_found' ? '0' : '' };
}

function numberIn(text: string): number | undefined {
  return /^\d{1,4}$/.test(text.trim()) ? Number(text) : undefined;
}

export const isWrong = (draft: BeetleDraft): boolean =>
  draft.beetles.trim() !== '' && numberIn(draft.beetles) === undefined;

/** Fields of a reading. A trap that could not be read says nothing, and stands on as it stood. */
export function beetleSet(
  draft: BeetleDraft,
  at: { station_id: string; set_at?: string; observed_at: string; observer: string },
): Record<string, unknown> {
  const read = draft.state === 'counted' || draft.state === 'none_found';
  const note = draft.note.trim();
  return {
    station_id: at.station_id,
    ...(at.set_at ? { set_at: at.set_at } : {}),
    observed_at: at.observed_at,
    state: draft.state,
    ...(read ? { beetles: numberIn(draft.beetles) ?? 0 } : {}),
    rebaited: draft.state !== 'not_turned' && draft.emptied,
    observer: at.observer,
    ...(note === '' ? {} : { note }),
  };
}
