import { useState } from 'preact/hooks';
import { Button, Card, Notice } from '../../parts';
import { fetchFile, type Trouble, troubleOf } from '../../sync/plot_files';
import { t } from '../../text';

const FORMS = [
  ['observations', 'export/observations'],
  ['tables', 'export/tables'],
  ['bundle', 'export/bundle'],
  ['darwin_core', 'export/darwin-core'],
  ['sensor_things', 'export/sensor-things'],
  ['sketch', 'export/sketch'],
] as const;
type Out = readonly [name: (typeof FORMS)[number][0] | 'week' | 'season' | 'products', path: string];

/** The whole plot in several forms. */
export function TakeOut({ plotId }: { plotId: string }) {
  return (
    <Card title={t('files.forms')}>
      <p class="soft">{t('files.forms_why')}</p>
      <FileButtons plotId={plotId} files={FORMS} />
    </Card>
  );
}

/** One button a file, with what is in it. */
export function FileButtons({ plotId, files }: { plotId: string; files: readonly Out[] }) {
  const [busy, setBusy] = useState<string | undefined>(undefined);
  const [trouble, setTrouble] = useState<Trouble | undefined>(undefined);
  const fetchIt = async (name: string, path: string): Promise<void> => {
    setBusy(name);
    setTrouble(undefined);
    try {
      const file = await fetchFile(plotId, path);
      save(file.blob, file.name);
    } catch (error) {
      setTrouble(troubleOf(error));
    }
    setBusy(undefined);
  };
  return (
    <>
      <ul class="files-list">
        {files.map(([name, path]) => (
          <li key={name}>
            <Button wide disabled={busy !== undefined} onClick={() => void fetchIt(name, path)}>
              {busy === name ? t('files.making') : t(`files.${name}`)}
            </Button>
            <p class="soft small">{t(`files.${name}_why`)}</p>
          </li>
        ))}
      </ul>
      <TroubleNotice trouble={trouble} />
    </>
  );
}

export function TroubleNotice({ trouble }: { trouble: Trouble | undefined }) {
  if (trouble === undefined) return null;
  return (
    <Notice tone="bad" live>
      {trouble === 'away' ? t('files.away') : <span lang="en">{trouble.words}</span>}
    </Notice>
  );
}

function save(blob: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // Some phones read the address only after the click has returned.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
