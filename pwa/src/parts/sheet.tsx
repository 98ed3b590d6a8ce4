import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import { t } from '../text';
import { IconButton } from './button';

type SheetProps = { title: string; onClose: () => void; children: ComponentChildren };

/** A drawer from the bottom edge, under the thumb. The browser's own dialog keeps the focus inside it. */
export function Sheet({ title, onClose, children }: SheetProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    const before = document.activeElement;
    dialog.current?.showModal();
    return () => {
      if (before instanceof HTMLElement && before.isConnected) before.focus();
    };
  }, []);
  const onBackdrop = (event: MouseEvent): void => {
    if (event.target === dialog.current) onClose();
  };
  return (
    // biome-ignore lint/a11y/useKeyWithClickEvents: Escape closes a dialog by itself (onCancel)
    <dialog ref={dialog} class="sheet" aria-labelledby={id} onCancel={onClose} onClick={onBackdrop}>
      <div class="sheet-body">
        <div class="row-apart">
          <h2 id={id}>{title}</h2>
          <IconButton icon="close" label={t('parts.close')} onClick={onClose} />
        </div>
        {children}
      </div>
    </dialog>
  );
}
