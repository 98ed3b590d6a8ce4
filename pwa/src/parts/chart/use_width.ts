import type { RefObject } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';

/** How wide the element is, from its first drawing on; 0 before. */
export function useWidth<E extends HTMLElement>(): [RefObject<E | null>, number] {
  const ref = useRef<E>(null);
  const [width, setWidth] = useState(0);
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const measure = (): void => setWidth(Math.floor(element.clientWidth));
    measure();
    const watch = new ResizeObserver(measure);
    watch.observe(element);
    return () => watch.disconnect();
  }, []);
  return [ref, width];
}
