import { useRef, useState } from 'preact/hooks';
import { Button, Card, Notice } from '../../parts';
import { type TextKey, t } from '../../text';
import { dayWords, localClock, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { type Line, linesOf } from './unsent_model';

type Unsent = typeof import('../../sync/unsent');
type Look = Awaited<ReturnType<Unsent['lookInto']>>;
type Taken = Awaited<ReturnType<Unsent['takeUnsent']>>;
type Seen = Extract<Look, { file: unknown }>;

/** Another phone's unsent records: shown before, taken in whole or not at all. */
export function UnsentIn({ facts }: { facts: PlotFacts }) {
  const input = useRef<HTMLInputElement>(null);
  const [look, setLook] = useState<Look | undefined>(undefined);
  const [taken, setTaken] = useState<Taken | 'failed' | undefined>(undefined);
  const [busy, setBusy] = useState(false);
  const chosen = async (files: FileList | null): Promise<void> => {
    const file = files?.[0];
    if (!file) return;
    setTaken(undefined);
    setBusy(true);
    const { lookInto } = await import('../../sync/unsent');
    // A file on a cloud drive may not be there after all.
    setLook(await lookInto(file).catch((): Look => ({ refused: 'broken' })));
    setBusy(false);
    if (input.current) input.current.value = '';
  };
  const take = async (seen: Seen): Promise<void> => {
    setBusy(true);
    const { takeUnsent } = await import('../../sync/unsent');
    const done = await takeUnsent(seen.file).catch(() => 'failed' as const);
    setTaken(done);
    if (done !== 'failed') setLook(undefined);
    setBusy(false);
  };
  return (
    <Card title={t('sync.take_title')}>
      <p class="soft">{t('sync.take_text')}</p>
      <input
        ref={input}
        class="only-heard"
        type="file"
        accept="application/json,.json"
        tabIndex={-1}
        aria-label={t('sync.take_choose')}
        onChange={(event) => void chosen(event.currentTarget.files)}
      />
      <Button disabled={busy} onClick={() => input.current?.click()}>
        {t('sync.take_choose')}
      </Button>
      {look && 'refused' in look && (
        <Notice tone="bad" live>
          {t(`sync.take_${look.refused}`, { plot: look.plot_name ?? t('sync.take_unnamed') })}
        </Notice>
      )}
      {look && 'file' in look && (
        <Preview
          seen={look}
          facts={facts}
          busy={busy}
          onTake={() => void take(look)}
          onLeave={() => setLook(undefined)}
        />
      )}
      {taken && <Done taken={taken} />}
    </Card>
  );
}

type PreviewProps = {
  seen: Seen;
  facts: PlotFacts;
  busy: boolean;
  onTake: () => void;
  onLeave: () => void;
};

function Preview({ seen, facts, busy, onTake, onLeave }: PreviewProps) {
  const { file, known } = seen;
  const fresh = file.ops.filter((op) => !known?.has(op.op_id));
  const lines = linesOf(fresh, facts.time_zone);
  const when = Number.isNaN(Date.parse(file.exported_at))
    ? ''
    : `${dayWords(localDay(file.exported_at, facts.time_zone))} ${localClock(file.exported_at, facts.time_zone)}`;
  const nothing = fresh.length === 0 && file.photos.length === 0;
  return (
    <div class="stack-tight" role="status">
      <h3>{t('sync.take_holds')}</h3>
      <p class="soft small">
        {t('sync.take_from', { device: file.device_name ?? t('sync.take_unnamed'), when })}
      </p>
      <ul class="unsent-lines">
        {lines.map((line) => (
          <li key={`${line.what} ${line.day} ${line.who}`}>{lineWords(line)}</li>
        ))}
        {file.photos.length > 0 && <li>{t('sync.take_photos', { n: file.photos.length })}</li>}
      </ul>
      {(known?.size ?? 0) > 0 && <p>{t('sync.take_known', { n: known?.size ?? 0 })}</p>}
      {file.n_photos_broken > 0 && <p>{t('sync.take_photos_broken', { n: file.n_photos_broken })}</p>}
      <div class="sides">
        {!nothing && (
          <Button kind="main" disabled={busy} onClick={onTake}>
            {t('sync.take_do')}
          </Button>
        )}
        <Button disabled={busy} onClick={onLeave}>
          {t(nothing ? 'parts.close' : 'sync.take_leave')}
        </Button>
      </div>
    </div>
  );
}

function lineWords({ what, day, who, n }: Line): string {
  const key = (what === 'change' || what === 'gone' ? `sync.take_${what}` : `diary.type_${what}`) as TextKey;
  const name = t(key) === key ? what.replaceAll('_', ' ') : t(key);
  return [`${n} × ${name}`, day && dayWords(day), who].filter(Boolean).join(' · ');
}

function Done({ taken }: { taken: Taken | 'failed' }) {
  if (taken === 'failed')
    return (
      <Notice tone="bad" live>
        {t('sync.take_failed')}
      </Notice>
    );
  return (
    <Notice tone="good" live>
      {t('sync.take_done', { n: taken.ops })} {taken.photos > 0 && t('sync.take_photos', { n: taken.photos })}
    </Notice>
  );
}
