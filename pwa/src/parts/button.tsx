import type { ComponentChildren, JSX } from 'preact';
import { Icon, type IconName } from './icons';
import { Link } from './router';

type Look = {
  /** `main`: the one thing to do here; `plain`: the rest; `quiet`: no frame; `bad`: takes something away. */
  kind?: 'main' | 'plain' | 'quiet' | 'bad';
  icon?: IconName;
  wide?: boolean;
};

type ButtonProps = Look & Omit<JSX.IntrinsicElements['button'], 'icon'> & { children: ComponentChildren };

export function Button({ kind = 'plain', icon, wide, children, class: extra, ...rest }: ButtonProps) {
  return (
    <button type="button" {...rest} class={classes(kind, wide, extra as string | undefined)}>
      {icon && <Icon name={icon} />}
      <span>{children}</span>
    </button>
  );
}

/** A link that looks like a button: for going somewhere, where Button is for doing something. */
export function ButtonLink({
  kind = 'plain',
  icon,
  wide,
  to,
  children,
}: Look & { to: string; children: ComponentChildren }) {
  return (
    <Link to={to} class={classes(kind, wide, undefined)}>
      {icon && <Icon name={icon} />}
      <span>{children}</span>
    </Link>
  );
}

/** An icon alone, with its words for those who listen. */
export function IconButton({
  icon,
  label,
  ...rest
}: Omit<JSX.IntrinsicElements['button'], 'icon' | 'label'> & { icon: IconName; label: string }) {
  return (
    <button type="button" {...rest} class="icon-button" aria-label={label} title={label}>
      <Icon name={icon} />
    </button>
  );
}

function classes(kind: string, wide: boolean | undefined, extra: string | undefined): string {
  return ['button', `button-${kind}`, wide ? 'button-wide' : '', extra ?? ''].filter(Boolean).join(' ');
}
