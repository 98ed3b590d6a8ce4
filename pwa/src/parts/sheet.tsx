import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import { t } from '../text';
import { IconButton } from './button';

/** What is saved in a sheet is read by the page a moment later. */
const READ_WITHIN_MS = 10_000;

/** When what has the focus goes away with what was saved or removed, the page's heading takes it. */
function keepPlace(opener: HTMLElement): void {
  const watch = new MutationObserver(() => {
    if (opener.isConnected) return;
    watch.disconnect();
    if (document.activeElement === document.body) toHeading();
  });
  watch.observe(document.body, { childList: true, subtree: true });
  setTimeout(() => watch.disconnect(), READ_WITHIN_MS);
}

function toHeading(): void {
  document.querySelector<HTMLElement>('main h1')?.focus({ preventScroll: true });
}

type SheetProps = {
  title: string;
  onClose: () => void;
  children: ComponentChildren;
};

/** A drawer from the bottom edge, under the thumb. The browser's own dialog keeps the focus inside it. */
export function Sheet({ title, onClose, children }: SheetProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    const before = document.activeElement;
    const shown = dialog.current;
    shown?.showModal();
    return () => {
      // While it is open everything else is inert and takes no focus. What opened it may be gone by now.
      shown?.close();
      if (before instanceof HTMLElement && before.isConnected && before !== document.body) {
        before.focus();
        keepPlace(before);
      } else toHeading();
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
