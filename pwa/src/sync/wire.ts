// What goes over the wire, as far as the phone reads it.

import type { Fields, Op } from '../storage/rows';
import type { Result, ServerCopy } from './merge';

export const PROTOCOL = 1;
/** The newest schema whose fields this client knows. Fields it does not know are kept as they are. */
export const CLIENT_SCHEMA = 1;

export type Hello = {
  app: string;
  server_id: string;
  protocol: number;
  version?: string;
  schema?: { min: number; max: number };
  server_now?: string;
  claimed?: boolean;
};

export type Page = {
  epoch: string;
  schema: number;
  records: ServerCopy[];
  cursor: string;
  more: boolean;
  server_now?: string;
};

export type PushAnswer = { epoch: string; server_now?: string; results: Result[] };

/** The bytes of an operation. All of it is in the row, so it never changes after the first attempt. */
export function opOnWire(op: Op): Fields {
  const wire: Fields = { op_id: op.op_id, kind: op.kind, id: op.id };
  if (op.type) wire.type = op.type;
  wire.base_rev = op.base_rev;
  if (op.base_epoch) wire.base_epoch = op.base_epoch;
  if (op.after.length > 0) wire.after = op.after;
  if (op.kind !== 'del') wire.set = op.set;
  if (op.kind === 'resolve') wire.conflicts = op.conflicts ?? [];
  return wire;
}
