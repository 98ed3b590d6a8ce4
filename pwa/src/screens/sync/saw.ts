/** Of each value in dispute: on which phone it was typed, when, and what stood there for whoever typed it. Pure. */
import { type Change, madeAt, type Past } from '../diary/past';
import type { ConflictSide } from './model';

export interface SideFacts {
  device?: string;
  /** By the clock of the phone it was typed on. */
  at?: Date;
  /** What its person had seen in that field; absent when that cannot be told. */
  saw?: { value: unknown };
}

const touches = (change: Change, field: string): boolean => change.fields.some(({ name }) => name === field);

/** `conflict`: undefined for the value that stands. `past`: as far as the server has told it. */
export function sideFacts(
  past: Past | undefined,
  field: string,
  conflict: Pick<ConflictSide, 'id' | 'device' | 'base_rev'> | undefined,
): SideFacts {
  return conflict ? keptFacts(past, field, conflict) : standingFacts(past, field);
}

function standingFacts(past: Past | undefined, field: string): SideFacts {
  const last = past?.changes.find((change) => change.what !== 'kept' && touches(change, field));
  if (!last) return {};
  const at = madeAt(last.op_id) ?? new Date(last.received_at);
  const from = last.fields.find(({ name }) => name === field)?.from;
  return {
    at,
    ...(last.device ? { device: last.device } : {}),
    ...(last.what === 'made' ? {} : { saw: { value: from } }),
  };
}

function keptFacts(
  past: Past | undefined,
  field: string,
  conflict: Pick<ConflictSide, 'id' | 'device' | 'base_rev'>,
): SideFacts {
  const at = madeAt(conflict.id);
  const saw = seenAt(past, field, conflict);
  return {
    ...(at ? { at } : {}),
    ...(conflict.device ? { device: conflict.device } : {}),
    ...(saw ? { saw } : {}),
  };
}

/** The field as it stood at the revision its person had on the screen. */
function seenAt(
  past: Past | undefined,
  field: string,
  { id, base_rev }: Pick<ConflictSide, 'id' | 'base_rev'>,
): { value: unknown } | undefined {
  const kept = past?.changes.find((change) => change.op_id === id);
  // A revision of before a restore says nothing about the log of today.
  if (!past || !kept || base_rev === undefined || base_rev >= kept.rev) return undefined;
  const then = past.changes.find(
    (change) => change.rev <= base_rev && change.what !== 'kept' && touches(change, field),
  );
  if (then) return { value: then.fields.find(({ name }) => name === field)?.to };
  return past.next_before === null ? { value: undefined } : undefined;
}
