import { useEffect, useState } from 'preact/hooks';
import { Button, Card } from '../../parts';
import { missingOnServer, sendAllAgain, syncState } from '../../sync';
import { t } from '../../text';

/** The first look through years of records takes longer; the screen is not held up by it. */
const LOOKING_AT_MOST_MS = 300;

/** How many records only this phone has, asked again after each sync; `undefined` until it is known. */
export function useMissing(): [n: number | undefined, set: (n: number) => void] {
  const [n, setN] = useState<number>();
  const reached = syncState.value.last_sync_at;
  useEffect(() => {
    const late = setTimeout(() => setN((known) => known ?? 0), LOOKING_AT_MOST_MS);
    missingOnServer().then(setN, () => setN((known) => known ?? 0));
    return () => clearTimeout(late);
  }, [reached]);
  return [n, setN];
}

/** After the server was restored from an old backup: what only this phone has now, offered to be sent again. */
export function Missing({ n, setN }: { n: number; setN: (n: number) => void }) {
  const [busy, setBusy] = useState(false);
  if (n === 0) return null;
  const send = async () => {
    setBusy(true);
    await sendAllAgain().catch(() => undefined);
    setN(await missingOnServer().catch(() => n));
    setBusy(false);
  };
  return (
    <Card tone="bad" icon="caution" title={t('sync.missing_title', { n })}>
      <p>{t('sync.missing_text', { n })}</p>
      <Button kind="main" wide disabled={busy} onClick={() => void send()}>
        {t('sync.missing_send')}
      </Button>
    </Card>
  );
}
