// Notices on this phone: what stands in their way, asking for them, and keeping the server's knowledge of
// where they go in step with the browser's.

import type { Channels, MadeFeed, MadeTarget, Subscription, TrialMessage } from '../generated/api';
import { NotHome, Server } from './server';

/** Why notices can't come to this phone, or not yet. */
export type Hindrance = 'insecure' | 'home_screen' | 'unsupported' | 'blocked';

export interface Browser {
  secure: boolean;
  apple_phone: boolean;
  /** Started from the home screen. */
  standalone: boolean;
  /** Has a service worker, push and notifications. */
  able: boolean;
  permission: NotificationPermission;
}

/** The first thing in the way; apple phones take notices on the home screen only (WebKit, since iOS 16.4). */
export function hindranceOf(browser: Browser): Hindrance | undefined {
  if (!browser.secure) return 'insecure';
  if (browser.apple_phone && !browser.standalone) return 'home_screen';
  if (!browser.able) return 'unsupported';
  return browser.permission === 'denied' ? 'blocked' : undefined;
}

export function thisBrowser(): Browser {
  const { userAgent, platform, maxTouchPoints } = navigator;
  return {
    secure: globalThis.isSecureContext,
    // An iPad says it is a Mac; no Mac has a touch screen.
    apple_phone: /iPhone|iPad|iPod/.test(userAgent) || (platform === 'MacIntel' && maxTouchPoints > 1),
    standalone:
      matchMedia('(display-mode: standalone)').matches ||
      (navigator as { standalone?: boolean }).standalone === true,
    able: 'serviceWorker' in navigator && 'PushManager' in globalThis && 'Notification' in globalThis,
    permission: 'Notification' in globalThis ? Notification.permission : 'default',
  };
}

/** The browser's push as far as we need it. `key` is the server's key that the subscription was made with. */
export interface PushPort {
  ask(): Promise<NotificationPermission>;
  held(): Promise<(Subscription & { key: string }) | undefined>;
  subscribe(key: string): Promise<Subscription>;
  unsubscribe(): Promise<void>;
}

const MARK = 'underboard.notices';

export class Notices {
  constructor(
    readonly server: Server,
    readonly push: PushPort,
    readonly marks: Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>,
  ) {}

  /** Whether a person has allowed notices on this phone. */
  get wanted(): boolean {
    return this.marks.getItem(MARK) !== null;
  }

  async channels(): Promise<Channels> {
    const { body } = await this.server.ask<Partial<Channels>>('/api/v1/channels');
    // A stranger's network may answer anything, with JSON too.
    if (!body.push || !body.email) throw new NotHome();
    return body as Channels;
  }

  /** Only ever called from a tap: browsers ask the person then, and punish pages that ask by themselves. */
  async allow(key: string): Promise<NotificationPermission> {
    const permission = await this.push.ask();
    if (permission === 'granted') await this.#tell(await this.#fitting(key));
    return permission;
  }

  async stop(): Promise<void> {
    await this.server.ask('/api/v1/channels/push', { method: 'DELETE' });
    this.marks.removeItem(MARK);
    await this.push.unsubscribe();
  }

  /**
   * Tell the server when the browser has changed where notices go, or has forgotten it. With `known`, what the
   * server says: it may have lost or given up this phone. Does nothing where nobody allowed notices.
   */
  async mend(permission: NotificationPermission, known?: Channels): Promise<boolean> {
    if (!this.wanted || permission !== 'granted') return false;
    const held = await this.push.held();
    const here = known?.push.phones.find((phone) => phone.this_device);
    const lost = known !== undefined && (here === undefined || here.state === 'dead');
    // The server has a new key (its keys folder was lost): the push service takes nothing signed with it here.
    const locked = known !== undefined && held !== undefined && held.key !== known.push.public_key;
    if (!lost && !locked && held !== undefined && held.endpoint === this.marks.getItem(MARK)) return false;
    const { push } = known ?? (await this.channels());
    // What the push service has given up is no good any more, although the browser still holds it.
    if (here?.state === 'dead') await this.push.unsubscribe();
    await this.#tell(await this.#fitting(push.public_key));
    return true;
  }

  async addAddress(address: string): Promise<void> {
    const json = JSON.stringify({ address });
    await this.server.ask<MadeTarget>('/api/v1/channels/email', { method: 'POST', json });
  }

  async removeAddress(id: string): Promise<void> {
    await this.server.ask(`/api/v1/channels/email/${id}`, { method: 'DELETE' });
  }

  async makeCalendar(): Promise<string> {
    return (await this.server.ask<MadeFeed>('/api/v1/channels/calendar', { method: 'POST' })).body.url;
  }

  async endCalendar(): Promise<void> {
    await this.server.ask('/api/v1/channels/calendar', { method: 'DELETE' });
  }

  async trial(channel: 'push' | 'email', id: string): Promise<TrialMessage> {
    const path = `/api/v1/channels/${channel}/${id}/trial`;
    return (await this.server.ask<TrialMessage>(path, { method: 'POST', timeoutMs: 60_000 })).body;
  }

  /** A subscription made with this server's key; one made with another server's is replaced. */
  async #fitting(key: string): Promise<Subscription> {
    const held = await this.push.held();
    if (held?.key === key) return held;
    if (held) await this.push.unsubscribe();
    return await this.push.subscribe(key);
  }

  async #tell({ endpoint, p256dh, auth }: Subscription): Promise<void> {
    const json = JSON.stringify({ endpoint, p256dh, auth });
    await this.server.ask('/api/v1/channels/push', { method: 'PUT', json });
    this.marks.setItem(MARK, endpoint);
  }
}

/** Base64 for addresses, without padding (RFC 4648, section 5). */
export function base64url(bytes: ArrayBuffer): string {
  const text = String.fromCharCode(...new Uint8Array(bytes));
  return btoa(text).replace(/\+/g, '-').replace(/\//g, '_').replace(/=+$/, '');
}

const manager = async () => (await navigator.serviceWorker.ready).pushManager;

function told(subscription: PushSubscription): Subscription {
  const { endpoint, keys } = subscription.toJSON();
  return { endpoint: endpoint ?? '', p256dh: keys?.p256dh ?? '', auth: keys?.auth ?? '' };
}

const browserPush: PushPort = {
  ask: () => Notification.requestPermission(),
  async held() {
    const found = await (await manager()).getSubscription();
    if (!found) return undefined;
    const key = found.options.applicationServerKey;
    return { ...told(found), key: key ? base64url(key) : '' };
  },
  async subscribe(key) {
    return told(await (await manager()).subscribe({ userVisibleOnly: true, applicationServerKey: key }));
  },
  async unsubscribe() {
    await (await (await manager()).getSubscription())?.unsubscribe();
  },
};

export const notices = new Notices(
  new Server((input, init) => globalThis.fetch(input, init)),
  browserPush,
  globalThis.localStorage,
);
