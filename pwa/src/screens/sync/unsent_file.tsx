import { useState } from 'preact/hooks';
import { Button, Card } from '../../parts';
import { exportUnsent, syncState } from '../../sync';
import { t } from '../../text';

/** Everything that is only here, as a file: the way out when no server will ever be in reach again. */
export function UnsentFile() {
  const [failed, setFailed] = useState(false);
  const { only_here, photos_waiting } = syncState.value;
  const nothing = only_here === 0 && photos_waiting === 0;
  const make = async () => {
    try {
      download(await exportUnsent(), `underboard-unsent-${new Date().toISOString().slice(0, 10)}.json`);
      setFailed(false);
    } catch {
      setFailed(true);
    }
  };
  return (
    <Card title={t('sync.file_title')}>
      <p class="soft">{nothing ? t('sync.file_none') : t('sync.file_text')}</p>
      {!nothing && <Button onClick={() => void make()}>{t('sync.file_make')}</Button>}
      {failed && (
        <p class="field-error" role="alert">
          {t('sync.file_failed')}
        </p>
      )}
    </Card>
  );
}

function download(blob: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // Some phones read the address only after the click has returned.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
