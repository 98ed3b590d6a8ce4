import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import { Icon, type IconName } from './icons';

type CardProps = {
  title?: ComponentChildren;
  icon?: IconName;
  /** `glow`: what is due now; `good` and `bad`: a verdict, always said in words as well. */
  tone?: 'plain' | 'glow' | 'good' | 'bad';
  /** At the right end of the title line: a figure, a badge, a small button. */
  aside?: ComponentChildren;
  children?: ComponentChildren;
};

export function Card({ title, icon, tone = 'plain', aside, children }: CardProps) {
  const id = useId();
  return (
    <section class={`card card-${tone}`} aria-labelledby={title ? id : undefined}>
      {title && (
        <div class="card-head">
          {icon && <Icon name={icon} />}
          <h2 id={id} class="grow">
            {title}
          </h2>
          {aside}
        </div>
      )}
      {children}
    </section>
  );
}

/** A count on a tab or a title. `words` is what a screen reader says in place of the bare number. */
export function Badge({ n, words, tone = 'plain' }: { n: number; words: string; tone?: 'plain' | 'bad' }) {
  if (n <= 0) return null;
  return (
    <span class={`badge badge-${tone}`}>
      <span aria-hidden="true">{n > 99 ? '99+' : n}</span>
      <span class="only-heard">{words}</span>
    </span>
  );
}
