import type { ComponentType } from 'preact';
import { matchPath } from '../parts/router';
import { loadScreenTexts, type TextKey } from '../text';

/** What every screen receives: the values of the `:name` parts of its path. */
export type ScreenProps = { params: Record<string, string> };
export type Screen = ComponentType<ScreenProps>;

type Route = {
  path: string;
  /** Folder under screens/; its index.tsx has the screen as default export. */
  screen: string;
  /** The entry of the bottom bar that is lit while this route shows. */
  tab: Tab;
  /** A screen that needs the whole height (the round) hides the bar. */
  bare?: boolean;
};

export type Tab = 'now' | 'plot' | 'diary' | 'findings' | 'sync' | 'desk';

export const ROUTES: readonly Route[] = [
  { path: '/', screen: 'now', tab: 'now' },
  { path: '/round/:id', screen: 'round', tab: 'now', bare: true },
  { path: '/readings', screen: 'readings', tab: 'now' },
  { path: '/evening', screen: 'evening', tab: 'now' },
  { path: '/traps', screen: 'traps', tab: 'now' },
  { path: '/warnings', screen: 'warnings', tab: 'now' },
  { path: '/warning/:id', screen: 'warnings', tab: 'now' },
  { path: '/watch', screen: 'watch', tab: 'plot' },
  { path: '/watch/:rule', screen: 'watch', tab: 'plot' },
  { path: '/start', screen: 'first_run', tab: 'now', bare: true },
  { path: '/join', screen: 'first_run', tab: 'now', bare: true },
  { path: '/plot', screen: 'plot', tab: 'plot' },
  { path: '/diary', screen: 'diary', tab: 'diary' },
  { path: '/desk', screen: 'desk', tab: 'desk' },
  { path: '/photos', screen: 'photos', tab: 'diary' },
  { path: '/photos/of/:place', screen: 'photos', tab: 'diary' },
  { path: '/photos/compare/:pair', screen: 'photos', tab: 'diary' },
  { path: '/findings', screen: 'findings', tab: 'findings' },
  { path: '/trials', screen: 'trials', tab: 'findings' },
  { path: '/trials/:id', screen: 'trials', tab: 'findings' },
  { path: '/sync', screen: 'sync', tab: 'sync' },
  { path: '/files', screen: 'files', tab: 'sync' },
  { path: '/paper', screen: 'paper', tab: 'diary' },
  { path: '/paper/key', screen: 'keying', tab: 'diary', bare: true },
];

export const BAR: readonly { tab: Tab; to: string; words: TextKey }[] = [
  { tab: 'now', to: '/', words: 'shell.now' },
  { tab: 'plot', to: '/plot', words: 'shell.plot' },
  { tab: 'diary', to: '/diary', words: 'shell.diary' },
  { tab: 'findings', to: '/findings', words: 'shell.findings' },
  { tab: 'sync', to: '/sync', words: 'shell.sync' },
  // Only where there is room for it (shell.css).
  { tab: 'desk', to: '/desk', words: 'shell.desk' },
];

const files = import.meta.glob<{ default: Screen }>('../screens/*/index.tsx');

export type Found = { route: Route; params: Record<string, string> };

export function routeAt(at: string): Found | undefined {
  for (const route of ROUTES) {
    const params = matchPath(route.path, at);
    if (params) return { route, params };
  }
  return undefined;
}

/** Screens whose words are part of the frame's own (text/en.ts). */
const AT_ONCE = new Set(['now', 'round']);

const opened = new Map<string, Screen>();

/** A screen already fetched, for drawing without a blink. */
export function openedScreen(name: string): Screen | undefined {
  return opened.get(name);
}

export async function openScreen(name: string): Promise<Screen> {
  const load = files[`../screens/${name}/index.tsx`];
  if (!load) throw new Error(`no screen called ${name}`);
  const [file] = await Promise.all([load(), AT_ONCE.has(name) ? undefined : loadScreenTexts()]);
  const screen = file.default;
  opened.set(name, screen);
  return screen;
}
