import { Badge, Icon, Link } from '../parts';
import { syncState } from '../sync';
import { t } from '../text';
import { BAR, type Tab } from './routes';

export function BottomBar({ tab }: { tab: Tab | undefined }) {
  return (
    <nav class="bar" aria-label={t('shell.main_menu')}>
      <ul>
        {BAR.map((entry) => (
          <li key={entry.tab} class={`bar-${entry.tab}`}>
            <Link to={entry.to} aria-current={entry.tab === tab ? 'page' : undefined}>
              <Icon name={entry.tab} />
              <span>{t(entry.words)}</span>
              {entry.tab === 'sync' && <SyncBadge />}
            </Link>
          </li>
        ))}
      </ul>
      <button
        type="button"
        class="bar-keys"
        onClick={() => dispatchEvent(new KeyboardEvent('keydown', { key: '?' }))}
      >
        {t('shell.keys')}
      </button>
    </nav>
  );
}

/** What needs a person comes first; else how many records wait on this phone. */
function SyncBadge() {
  const { needs_you, only_here, stuck } = syncState.value;
  const urgent = needs_you + stuck;
  if (urgent > 0) return <Badge tone="bad" n={urgent} words={t('shell.badge_needs_you', { n: urgent })} />;
  return <Badge n={only_here} words={t('shell.badge_only_here', { n: only_here })} />;
}
