import { useEffect, useState } from 'preact/hooks';
import { Notice } from '../../parts';
import { syncState } from '../../sync';
import { clockAhead } from '../../sync/ask_plot';
import { t } from '../../text';
import { clockFault } from './clock_fault';

/** Longer than this the screen is not held up by it. */
const ASKING_AT_MOST_MS = 300;

/** How wrong this phone's clock is, asked again after each sync; `null` when it is right or nobody can tell. */
export function useClock(): string | null | undefined {
  const [words, setWords] = useState<string | null>();
  const reached = syncState.value.last_sync_at;
  useEffect(() => {
    const late = setTimeout(() => setWords((known) => known ?? null), ASKING_AT_MOST_MS);
    void clockAhead().then((ahead) => setWords(clockWords(ahead)));
    return () => clearTimeout(late);
  }, [reached]);
  return words;
}

function clockWords(ahead: number | undefined): string | null {
  const fault = clockFault(ahead);
  return fault ? t(`sync.clock_${fault.way}_${fault.unit}`, { n: fault.n }) : null;
}

export function WrongClock({ words }: { words: string }) {
  return (
    <Notice tone="bad">
      {words} {t('sync.clock_mend')}
    </Notice>
  );
}
