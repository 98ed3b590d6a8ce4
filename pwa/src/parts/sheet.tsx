import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef } from 'preact/hooks';
import { t } from '../text';
import { IconButton } from './button';

type SheetProps = {
  title: string;
  onClose: () => void;
  /** Set when what opened it goes away with it: the page's heading takes the focus. */
  last?: { current: boolean };
  children: ComponentChildren;
};

/** A drawer from the bottom edge, under the thumb. The browser's own dialog keeps the focus inside it. */
export function Sheet({ title, onClose, last, children }: SheetProps) {
  const dialog = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    const before = document.activeElement;
    const shown = dialog.current;
    shown?.showModal();
    return () => {
      // While it is open everything else is inert and takes no focus. What opened it may be gone by now.
      shown?.close();
      const back =
        before instanceof HTMLElement && before.isConnected && before !== document.body && !last?.current;
      const to = back ? before : document.querySelector<HTMLElement>('main h1');
      to?.focus({ preventScroll: !back });
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
