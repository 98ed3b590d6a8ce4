// A file of unsent records, looked at before anything of it is taken in: is it whole, is it ours, is it of this plot?

import { sha256Of } from '../storage/photos';
import type { Fields, OpKind } from '../storage/rows';
import { digestOf, FORM } from './unsent_write';

/** An operation as the other phone queued it. */
export type FileOp = {
  op_id: string;
  kind: OpKind;
  type?: string;
  id: string;
  base_rev: number;
  base_epoch?: string;
  after?: string[];
  set?: Fields;
  conflicts?: string[];
  schema: number;
};

export type FilePhoto = { sha256: string; mime: string; taken_at: string; bytes: ArrayBuffer };

export type UnsentFile = {
  plot_id: string;
  exported_at: string;
  device_name: string | undefined;
  ops: FileOp[];
  photos: FilePhoto[];
  /** Photos whose bytes are not what their name says; records never wait for photos. */
  n_photos_broken: number;
};

/** Why a file is not taken in. */
export type Refusal =
  | 'foreign'
  | 'cut_short'
  | 'broken'
  | 'newer'
  | 'no_plot'
  | 'other_plot'
  | 'empty'
  | 'too_large';

export type Read = { file: UnsentFile } | { refused: Refusal; plot_name?: string };

/** A season of counts is a few MB; this is room for a thousand photos. */
export const LARGEST_BYTES = 400 * 1024 * 1024;

const BEGINS = /^\s*\{\s*"app"\s*:\s*"underboard"/;

export async function readUnsent(text: string, plotId: string): Promise<Read> {
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch {
    return { refused: BEGINS.test(text) ? 'cut_short' : 'foreign' };
  }
  if (!isFields(raw) || raw.app !== 'underboard' || raw.kind !== 'unsent') return { refused: 'foreign' };
  if (Number(raw.form) > FORM) return { refused: 'newer' };
  const { ops, photos } = raw;
  if (!Array.isArray(ops) || !Array.isArray(photos)) return { refused: 'broken' };
  if (raw.sha256 !== (await digestOf(ops)) || raw.n_photos !== photos.length || !ops.every(isOp))
    return { refused: 'broken' };
  if (typeof raw.plot_id !== 'string') return { refused: 'no_plot' };
  if (raw.plot_id !== plotId) {
    const name = raw.plot_name;
    return { refused: 'other_plot', ...(typeof name === 'string' ? { plot_name: name } : {}) };
  }
  if (ops.length === 0 && photos.length === 0) return { refused: 'empty' };
  return { file: await fileOf(raw, ops, photos) };
}

async function fileOf(raw: Fields, ops: FileOp[], photos: unknown[]): Promise<UnsentFile> {
  const read = await Promise.all(photos.map(photoOf));
  const whole = read.filter((photo) => photo !== undefined);
  return {
    plot_id: String(raw.plot_id),
    exported_at: typeof raw.exported_at === 'string' ? raw.exported_at : '',
    device_name: typeof raw.device_name === 'string' ? raw.device_name : undefined,
    ops,
    photos: whole,
    n_photos_broken: photos.length - whole.length,
  };
}

async function photoOf(raw: unknown): Promise<FilePhoto | undefined> {
  if (!isFields(raw) || typeof raw.base64 !== 'string' || typeof raw.sha256 !== 'string') return undefined;
  try {
    const bytes = Uint8Array.from(atob(raw.base64), (char) => char.charCodeAt(0)).buffer as ArrayBuffer;
    if ((await sha256Of(bytes)) !== raw.sha256) return undefined;
    const { mime, taken_at } = raw;
    return {
      sha256: raw.sha256,
      bytes,
      mime: String(mime ?? 'image/jpeg'),
      taken_at: String(taken_at ?? ''),
    };
  } catch {
    return undefined;
  }
}

function isFields(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/i;
const KINDS: readonly unknown[] = ['put', 'del', 'resolve'];

function isOp(raw: unknown): raw is FileOp {
  if (!isFields(raw)) return false;
  const ids = [raw.op_id, raw.id].every((id) => typeof id === 'string' && UUID.test(id));
  const revision = Number.isInteger(raw.base_rev) && Number(raw.base_rev) >= 0;
  const typed = raw.type === undefined || typeof raw.type === 'string';
  const said = raw.kind === 'del' || isFields(raw.set);
  return (
    ids && revision && typed && said && KINDS.includes(raw.kind) && isList(raw.after) && isList(raw.conflicts)
  );
}

function isList(value: unknown): boolean {
  return value === undefined || (Array.isArray(value) && value.every((item) => typeof item === 'string'));
}
