import { useEffect, useState } from 'preact/hooks';
import { Button, Card } from '../../parts';
import { missingOnServer, sendAllAgain, syncState } from '../../sync';
import { t } from '../../text';

/** After the server was restored from an old backup: what only this phone has now, offered to be sent again. */
export function Missing() {
  const [n, setN] = useState(0);
  const [busy, setBusy] = useState(false);
  const reached = syncState.value.last_sync_at;
  useEffect(() => {
    missingOnServer().then(setN, () => undefined);
  }, [reached]);
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
