// The house of a history: the server as the world and the oracle see it.

import type { Paired } from '../../../pwa/src/storage/meta_rows';
import type { Conflict, Fields } from '../../../pwa/src/storage/rows';
import type { Heard, Network } from './faults';

export type Truth = {
  epoch: string;
  records: { id: string; rev: number; deleted: boolean; body: Fields; conflicts: Conflict[] }[];
  /** The change log, oldest first. */
  changes: { id: string; rev: number; op_id: string; kind: string; set: Fields; prev: Fields }[];
  /** What any conflict row holds, open or settled. */
  conflict_sets: { id: string; set: Fields }[];
};

export interface House {
  /** The way to the server, which fails as it is told. */
  readonly network: Network & { heard: Heard; calm(): Promise<void> };
  /** A new plot and its paired devices. */
  open(devices: number): Promise<{ paired: Paired; token: string }[]>;
  truth(): Promise<Truth>;
  /** Keep a backup of the plot; answers its number. */
  snapshot(): Promise<number>;
  /** Bring a backup back, as `underboard restore` does: another epoch, `restored_rev` set. */
  restore(snapshot: number): Promise<void>;
}
