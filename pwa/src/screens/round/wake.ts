import { useEffect } from 'preact/hooks';

type Sentinel = { release(): Promise<void> };
type WithWakeLock = { wakeLock?: { request(kind: 'screen'): Promise<Sentinel> } };

/** Keep the screen on while a round is open. Phones that can't, or won't, are left alone in silence. */
export function useWakeLock(): void {
  useEffect(() => {
    let held: Sentinel | undefined;
    let gone = false;
    const ask = async (): Promise<void> => {
      if (document.visibilityState !== 'visible') return;
      try {
        const got = await (navigator as WithWakeLock).wakeLock?.request('screen');
        if (gone) void got?.release();
        else held = got;
      } catch {
        // low battery or not allowed: counting works all the same
      }
    };
    void ask();
    // The phone lets go of the lock whenever the page is hidden.
    document.addEventListener('visibilitychange', ask);
    return () => {
      gone = true;
      document.removeEventListener('visibilitychange', ask);
      held?.release().catch(() => undefined);
    };
  }, []);
}

export function buzz(): void {
  navigator.vibrate?.(12);
}
