import { useEffect, useState } from 'preact/hooks';
import { Button, Card, Notice } from '../../parts';
import { installOffer } from '../../parts/install';
import { syncState } from '../../sync';
import { decimals, t } from '../../text';
import { FULL, forgetsUnused, type Room, roomOf, wayHome } from './keeping_model';

interface Kept {
  persisted: boolean;
  /** The browser can be asked to keep it at all. */
  can_ask: boolean;
  room: Room | undefined;
  installed: boolean;
}

async function read(): Promise<Kept> {
  const storage = navigator.storage as StorageManager | undefined;
  return {
    persisted: (await storage?.persisted?.()) ?? false,
    can_ask: storage?.persist !== undefined,
    room: roomOf(await storage?.estimate?.()),
    installed: matchMedia('(display-mode: standalone)').matches,
  };
}

/** What the browser may do with what is stored here, and what a person can do about it. */
export function Keeping() {
  const [now, setNow] = useState<Kept | undefined>(undefined);
  const [asked, setAsked] = useState(false);
  useEffect(() => {
    read().then(setNow, () => undefined);
  }, []);
  if (!now) return null;
  const ask = async () => {
    await navigator.storage.persist();
    setNow(await read());
    setAsked(true);
  };
  return (
    <>
      <Card title={t('keeping.title')}>
        <Storage now={now} />
        {!now.persisted && now.can_ask && !asked && (
          <Button onClick={() => void ask()}>{t('sync.storage_ask')}</Button>
        )}
        {!now.persisted && asked && <p role="status">{t('keeping.refused')}</p>}
      </Card>
      {!now.installed && <Install />}
      <Update />
    </>
  );
}

function Storage({ now }: { now: Kept }) {
  const me = { user_agent: navigator.userAgent, touch_points: navigator.maxTouchPoints };
  const { only_here } = syncState.value;
  const { room } = now;
  return (
    <>
      <p>{t(now.persisted ? 'keeping.persisted' : 'keeping.may_clear')}</p>
      {!now.persisted && !now.installed && forgetsUnused(me) && <p>{t('keeping.seven_days')}</p>}
      {!now.persisted && (
        <p class="soft small">
          {only_here > 0 ? t('keeping.at_stake', { n: only_here }) : t('keeping.nothing_at_stake')}
        </p>
      )}
      {room && (
        <p class="soft small">
          {t('keeping.used', { mb: decimals(room.used_mb) })}{' '}
          {room.share !== undefined &&
            room.share >= 0.01 &&
            t('keeping.share', { percent: decimals(100 * room.share, 0) })}
        </p>
      )}
      {room?.share !== undefined && room.share > FULL && <Notice tone="bad">{t('keeping.full')}</Notice>}
      <p class="soft small">{t(now.installed ? 'sync.installed' : 'keeping.in_browser')}</p>
    </>
  );
}

/** How to put it on the home screen, for the phone in the hand first. */
function Install() {
  const offer = installOffer.value;
  const me = { user_agent: navigator.userAgent, touch_points: navigator.maxTouchPoints };
  const way = wayHome({ ...me, offered: offer !== undefined });
  const install = async () => {
    installOffer.value = undefined; // an offer can be used once
    await offer?.prompt().catch(() => undefined);
  };
  return (
    <Card title={t('keeping.install')}>
      <p class="soft">{t('keeping.why_install')}</p>
      {way === 'offered' ? (
        <Button kind="main" wide onClick={() => void install()}>
          {t('keeping.install_now')}
        </Button>
      ) : (
        <p>{t(`keeping.way_${way}`)}</p>
      )}
      <p class="soft small">{t('keeping.pair_inside')}</p>
    </Card>
  );
}

type Newer = 'asking' | 'newest' | 'ready' | 'unreached' | undefined;

/** Which program runs here and whether a newer one waits. It is offered, never put on unasked. */
function Update() {
  const [newer, setNewer] = useState<Newer>(undefined);
  const worker = Boolean(navigator.serviceWorker?.controller);
  useEffect(() => {
    navigator.serviceWorker?.getRegistration().then(
      (found) => found?.waiting && setNewer('ready'),
      () => undefined,
    );
  }, []);
  const look = async () => {
    setNewer('asking');
    try {
      const found = await navigator.serviceWorker.getRegistration();
      await found?.update();
      setNewer(found?.waiting || found?.installing ? 'ready' : 'newest');
    } catch {
      setNewer('unreached');
    }
  };
  return (
    <Card title={t('keeping.program')}>
      <p>{t(worker ? 'keeping.starts_offline' : 'sync.no_worker')}</p>
      <p class="soft small">{t('keeping.version', { version: __VERSION__, build: __BUILD_ID__ })}</p>
      <p class="soft small">{t('keeping.offered_never_forced')}</p>
      {worker && (
        <Button disabled={newer === 'asking'} onClick={() => void look()}>
          {t('keeping.look')}
        </Button>
      )}
      <p role="status">{newer && newer !== 'asking' ? t(`keeping.${newer}`) : ''}</p>
    </Card>
  );
}
