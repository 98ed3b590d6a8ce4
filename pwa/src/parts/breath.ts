import { useLayoutEffect, useState } from 'preact/hooks';

type Yielding = { scheduler?: { yield?: () => Promise<void> } };

/** Let a finger have its turn between two pieces of work, where the browser knows how; elsewhere go on at once. */
export async function breath(): Promise<void> {
  await (globalThis as Yielding).scheduler?.yield?.();
}

/** False while the rest is drawn, then true: for what stands under the rest and would make one long task of both. */
export function useAfterBreath(): boolean {
  const [drawn, setDrawn] = useState(false);
  useLayoutEffect(() => {
    void breath().then(() => setDrawn(true));
  }, []);
  return drawn;
}
