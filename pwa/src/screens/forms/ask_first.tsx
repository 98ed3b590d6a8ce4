import type { ComponentChildren } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { Button, Notice } from '../../parts';
import { t } from '../../text';

type QuestionProps = {
  yes: string;
  onYes: () => void;
  onNo: () => void;
  /** What is asked, and what goes with it. */
  children: ComponentChildren;
};

/** Whether it is really meant: in place, and never answered by the press that asked. */
export function Question({ yes, onYes, onNo, children }: QuestionProps) {
  const asked = useRef<HTMLDivElement>(null);
  // The button that was pressed may be gone: without this the keyboard would begin at the top again. At once, so that
  // the next key finds it.
  useLayoutEffect(() => asked.current?.focus(), []);
  return (
    <Notice tone="bad" live>
      <div ref={asked} tabIndex={-1} class="stack-tight">
        {children}
        <div class="row">
          <Button kind="bad" onClick={onYes}>
            {yes}
          </Button>
          <Button kind="quiet" onClick={onNo}>
            {t('parts.cancel')}
          </Button>
        </div>
      </div>
    </Notice>
  );
}

/** A button that takes something away, and asks before it does. */
export function AskFirst({ label, yes, onYes, children }: Omit<QuestionProps, 'onNo'> & { label: string }) {
  const [sure, setSure] = useState(false);
  const again = useRef(false);
  const place = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => {
    if (!sure && again.current) place.current?.querySelector('button')?.focus();
    again.current = true;
  }, [sure]);
  if (sure)
    return (
      <Question yes={yes} onYes={onYes} onNo={() => setSure(false)}>
        {children}
      </Question>
    );
  return (
    <div ref={place} class="ask-first">
      <Button kind="bad" onClick={() => setSure(true)}>
        {label}
      </Button>
    </div>
  );
}
