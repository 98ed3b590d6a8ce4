import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { t } from '../text';
import { IconButton } from './button';
import { goBack } from './router';

type PageHeaderProps = {
  title: string;
  /** Where Back leads when the screen was opened from outside; leave out on the five main screens. */
  back?: string;
  aside?: ComponentChildren;
  /** A line under the title: a date, a place. */
  under?: ComponentChildren;
};

/** Every screen begins with this: it names the tab and takes the focus, so a screen reader says where we are. */
export function PageHeader({ title, back, aside, under }: PageHeaderProps) {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    document.title = t('shell.title', { screen: title });
  }, [title]);
  useEffect(() => {
    // One of several side by side takes the focus from nobody.
    if (!heading.current?.closest('.desk')) heading.current?.focus({ preventScroll: true });
  }, []);
  return (
    <header class="page-header">
      {back !== undefined && <IconButton icon="back" label={t('parts.back')} onClick={() => goBack(back)} />}
      <div class="grow">
        <h1 ref={heading} tabIndex={-1}>
          {title}
        </h1>
        {under && <p class="soft small">{under}</p>}
      </div>
      {aside}
    </header>
  );
}
