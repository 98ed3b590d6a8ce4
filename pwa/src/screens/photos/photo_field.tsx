import { useRef } from 'preact/hooks';
import { Button, IconButton, Notice, TextField } from '../../parts';
import { t } from '../../text';
import { Thumb } from './picture';
import type { Taking } from './taking';
import './style.css';

/** Pictures for a form: by the camera or chosen, several at once, with one caption for all of them. */
export function PhotoField({ taking, label }: { taking: Taking; label?: string }) {
  const { taken, progress, faults } = taking;
  return (
    <fieldset class="photo-field">
      <legend>{label ?? t('photos.field')}</legend>
      {taken.length > 0 && (
        <ul class="photo-row">
          {taken.map(({ sha256 }, i) => (
            <li key={sha256}>
              <Thumb sha256={sha256} alt={t('photos.chosen_n', { n: i + 1 })} />
              <IconButton
                icon="close"
                label={t('photos.drop_n', { n: i + 1 })}
                onClick={() => taking.drop(sha256)}
              />
            </li>
          ))}
        </ul>
      )}
      <PhotoButtons taking={taking} />
      {progress && (
        <div role="status">
          <progress max={progress.of} value={progress.done} aria-label={t('photos.making_small')} />
          <p class="soft small">{t('photos.making', { n: progress.done + 1, of: progress.of })}</p>
        </div>
      )}
      {faults.map(({ name, why }) => (
        <Notice key={`${name}:${why}`} tone="bad" live>
          {t(`photos.fault_${why}`, { name })}
        </Notice>
      ))}
      {taken.length > 0 && (
        <TextField
          label={t('photos.caption')}
          maxLength={400}
          value={taking.caption}
          onText={(words) => taking.write(words)}
        />
      )}
    </fieldset>
  );
}

/** The phone's own camera and its own picker: neither asks for a permission. */
export function PhotoButtons({ taking, kind = 'plain' }: { taking: Taking; kind?: 'main' | 'plain' }) {
  const camera = useRef<HTMLInputElement>(null);
  const picker = useRef<HTMLInputElement>(null);
  const busy = taking.progress !== undefined;
  const chosen = (event: { currentTarget: HTMLInputElement }) => {
    const files = [...(event.currentTarget.files ?? [])];
    event.currentTarget.value = '';
    if (files.length > 0) void taking.add(files);
  };
  const hidden = {
    type: 'file',
    accept: 'image/*',
    hidden: true,
    onChange: chosen,
  } as const;
  return (
    <div class="pair-grid">
      <Button kind={kind} icon="camera" disabled={busy} onClick={() => camera.current?.click()}>
        {t('photos.camera')}
      </Button>
      <Button icon="plus" disabled={busy} onClick={() => picker.current?.click()}>
        {t('photos.choose')}
      </Button>
      <input {...hidden} ref={camera} capture="environment" aria-label={t('photos.camera')} />
      <input {...hidden} ref={picker} multiple aria-label={t('photos.choose')} />
    </div>
  );
}
