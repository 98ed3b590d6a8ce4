import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';

/** Draws its content once it comes near the screen; until then it keeps about the room that it will take. */
export function WhenSeen({ children }: { children: () => ComponentChildren }) {
  const [seen, setSeen] = useState(false);
  const ref = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const element = ref.current;
    if (!element || seen) return;
    const watch = new IntersectionObserver(
      (entries) => {
        if (entries.some(({ isIntersecting }) => isIntersecting)) setSeen(true);
      },
      { rootMargin: '300px' },
    );
    watch.observe(element);
    return () => watch.disconnect();
  }, [seen]);
  if (seen) return <>{children()}</>;
  return <div ref={ref} class="when-seen" aria-busy="true" />;
}
