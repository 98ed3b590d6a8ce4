// Pairing this phone with its server by a one-time code, and the list of paired devices.

import { metaIn, type Paired } from '../storage/meta_rows';
import type { Store } from '../storage/port';
import { t } from '../text';
import { NoAnswer, NotHome, Refused, type Server } from './server';
import { storageWasCleared } from './state';

export type PairResult =
  | { ok: true; plot_id: string; role?: string; plot_name?: string }
  | { ok: false; words: string };

export type Me = {
  device_id: string;
  plot_id: string;
  role?: string;
  device_name?: string;
  plot_name?: string;
};
export type DeviceInfo = {
  id: string;
  name: string;
  role?: string;
  kind?: string;
  this_device?: boolean;
  last_seen_at?: string;
  paired_at?: string;
  revoked_at?: string | null;
};

/** As people type it: without blanks and dashes, in capitals when it is the short form. */
export function tidyCode(typed: string): string {
  const bare = typed.replace(/[\s-]/g, '');
  return bare.length <= 8 ? bare.toUpperCase() : typed.trim();
}

const MARK = 'underboard.paired';
const ALL = ['records', 'outbox', 'archive', 'photos', 'thumbs', 'meta'] as const;

export class Pairing {
  constructor(
    readonly store: Store,
    readonly server: Server,
    readonly marks: Pick<Storage, 'getItem' | 'setItem' | 'removeItem'> | undefined,
  ) {}

  async pair(code: string, deviceName: string): Promise<PairResult> {
    try {
      const hello = await this.server.hello();
      const json = JSON.stringify({ code: tidyCode(code), device_name: deviceName, want: 'cookie' });
      const before = await this.#pairedHere();
      if (
        before &&
        before.plot_id !== '' &&
        (await this.#unsent()) > 0 &&
        before.server_id !== hello.server_id
      ) {
        return { ok: false, words: t('told.other_server') };
      }
      const { body } = await this.server.ask<Me>('/api/v1/pair', { method: 'POST', json });
      return await this.#adopt({ ...body, device_name: deviceName }, hello.server_id);
    } catch (error) {
      return { ok: false, words: wordsOf(error) };
    }
  }

  async me(): Promise<Me> {
    return (await this.server.ask<Me>('/api/v1/me')).body;
  }

  async devices(): Promise<DeviceInfo[]> {
    const { body } = await this.server.ask<{ devices: DeviceInfo[] } | DeviceInfo[]>('/api/v1/devices');
    const found = Array.isArray(body) ? body : body.devices;
    if (!Array.isArray(found)) throw new NotHome(); // a stranger's JSON
    return found;
  }

  async revoke(id: string): Promise<void> {
    await this.server.ask(`/api/v1/devices/${id}`, { method: 'DELETE' });
  }

  /**
   * The database is empty, but the phone was paired: the system has cleared it (it may, after weeks without
   * use or on a full phone). The server still knows the phone by its cookie; go on with that.
   */
  async recover(): Promise<void> {
    if (await this.#pairedHere()) return;
    const marked = this.marks?.getItem(MARK) !== null && this.marks !== undefined;
    if (marked) storageWasCleared.value = true;
    try {
      const hello = await this.server.hello();
      const me = await this.me();
      storageWasCleared.value = true;
      await this.#adopt(me, hello.server_id);
    } catch {
      // Not at home, or really never paired: the first-run screen asks.
    }
  }

  async #adopt(me: Me, serverId: string): Promise<PairResult> {
    const { plot_name: name, ...rest } = me;
    const paired: Paired = { ...rest, server_id: serverId, ...(name ? { plot_name: name } : {}) };
    const moved = await this.store.write([...ALL], async (tx) => {
      const before = await metaIn<Paired>(tx, 'paired');
      const another = before !== undefined && before.plot_id !== me.plot_id;
      // A photo that the server refused is on this phone only, too.
      const only = async () =>
        (await tx.count('outbox')) + (await tx.waitingPhotos()).length + (await tx.photosIn('broken')).length;
      if (another && (await only()) > 0) return false;
      if (another) {
        for (const row of await tx.all('records')) tx.drop('records', row.id);
        // Pictures of one plot are nobody's business on another: they would be sent there too.
        for (const store of ['archive', 'photos', 'thumbs'] as const) tx.dropRange(store, '', '\uffff');
        tx.drop('meta', 'standing');
      }
      tx.put('meta', { key: 'paired', value: paired });
      return true;
    });
    if (!moved) return { ok: false, words: t('told.other_plot') };
    this.marks?.setItem(MARK, JSON.stringify({ plot_id: me.plot_id, device_id: me.device_id }));
    const { role } = me;
    return { ok: true, plot_id: me.plot_id, ...(role ? { role } : {}), ...(name ? { plot_name: name } : {}) };
  }

  #pairedHere(): Promise<Paired | undefined> {
    return this.store.read(['meta'], (tx) => metaIn<Paired>(tx, 'paired'));
  }

  #unsent(): Promise<number> {
    return this.store.read(['outbox'], (tx) => tx.count('outbox'));
  }
}

function wordsOf(error: unknown): string {
  if (error instanceof Refused) return error.problem.detail ?? error.problem.title;
  if (error instanceof NotHome) return t('told.stranger');
  if (error instanceof NoAnswer) return t('told.no_answer');
  return t('told.not_stored');
}
