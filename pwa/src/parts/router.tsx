import { computed, signal } from '@preact/signals';
import type { ComponentChildren } from 'preact';

/** The path shown, without query: "/round/0198…". Screens read it; only navigate() changes it. */
const address = signal(typeof location === 'undefined' ? '/' : location.pathname);
export const path = computed(() => address.value);

/** How deep we are in our own history, so that Back never leaves the app by surprise. */
let depth = 0;

/** Go to a path of ours. `replace` keeps the step out of the history (after a form is done). */
export function navigate(to: string, how: { replace?: boolean } = {}): void {
  if (to === location.pathname + location.search) return;
  if (how.replace) history.replaceState({ depth }, '', to);
  else history.pushState({ depth: ++depth }, '', to);
  address.value = location.pathname;
  scrollTo(0, 0);
}

/** One step back inside the app, or to `fallback` when this screen was opened from outside. */
export function goBack(fallback = '/'): void {
  if (depth > 0) history.back();
  else navigate(fallback, { replace: true });
}

/** Listen to the browser's own back and forward. Called once by the shell. */
export function startRouter(): void {
  addEventListener('popstate', (event) => {
    depth = (event.state as { depth?: number } | null)?.depth ?? 0;
    address.value = location.pathname;
  });
}

/** Values of `:name` parts when `at` fits `pattern`, else undefined. */
export function matchPath(pattern: string, at: string): Record<string, string> | undefined {
  const want = pattern.split('/').filter(Boolean);
  const have = at.split('/').filter(Boolean);
  if (want.length !== have.length) return undefined;
  const params: Record<string, string> = {};
  for (const [i, part] of want.entries()) {
    const got = have[i] ?? '';
    if (part.startsWith(':')) {
      const value = decoded(got);
      if (value === undefined) return undefined;
      params[part.slice(1)] = value;
    } else if (part !== got) {
      return undefined;
    }
  }
  return params;
}

function decoded(part: string): string | undefined {
  try {
    return decodeURIComponent(part);
  } catch {
    return undefined;
  }
}

type LinkProps = {
  to: string;
  class?: string;
  'aria-current'?: 'page' | undefined;
  'aria-label'?: string;
  children: ComponentChildren;
};

/** A real link (long press, keyboard, screen reader) that does not reload the app. */
export function Link({ to, children, ...rest }: LinkProps) {
  const follow = (event: MouseEvent): void => {
    if (event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
    event.preventDefault();
    navigate(to);
  };
  return (
    <a {...rest} href={to} onClick={follow}>
      {children}
    </a>
  );
}
