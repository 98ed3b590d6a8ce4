import type { ComponentChildren } from 'preact';
import { t } from '../text';
import { Icon } from './icons';

type NoticeProps = {
  tone?: 'plain' | 'good' | 'bad' | 'glow';
  live?: boolean;
  action?: ComponentChildren;
  children: ComponentChildren;
};

/** One plain sentence and, where there is one, the way out. `live` has it read aloud when it appears. */
export function Notice({ tone = 'plain', live, action, children }: NoticeProps) {
  return (
    <div class={`notice notice-${tone}`} role={live ? (tone === 'bad' ? 'alert' : 'status') : undefined}>
      <div class="grow">{children}</div>
      {action}
    </div>
  );
}

/** A caution where work can hurt: small, always in the same place and form, never a pop-up. */
export function Caution({ children }: { children: ComponentChildren }) {
  return (
    <p class="caution">
      <Icon name="caution" />
      <span>
        <span class="only-heard">{t('parts.caution')}: </span>
        {children}
      </span>
    </p>
  );
}

/** What a screen says when there is nothing yet: what will stand here, and the first step towards it. */
export function EmptyState({
  title,
  whole,
  action,
  children,
}: {
  title: string;
  /** It is all that the page says, so its title is the page's. */
  whole?: boolean;
  action?: ComponentChildren;
  children?: ComponentChildren;
}) {
  return (
    <div class="empty">
      <svg class="empty-drawing" viewBox="0 0 120 44" aria-hidden="true" focusable="false">
        <path class="empty-light" d="M32 34a28 28 0 0 1 56 0z" />
        <path class="empty-plank" d="M14 20l92-9 1 9-92 9z" />
        <path class="empty-soil" d="M4 36h112" />
      </svg>
      {whole ? <h1>{title}</h1> : <h2>{title}</h2>}
      {children && <p class="soft">{children}</p>}
      {action}
    </div>
  );
}
