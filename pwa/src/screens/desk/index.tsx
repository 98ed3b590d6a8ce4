import { useEffect, useRef } from 'preact/hooks';
import { t } from '../../text';
import Diary from '../diary';
import Findings from '../findings';
import Plot from '../plot';
import './style.css';

/** Chart beside map beside list, for a wide window: the three screens as they are, each in a column of its own. */
export default function Desk() {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    document.title = t('shell.title', { screen: t('shell.desk') });
    heading.current?.focus({ preventScroll: true });
  }, []);
  return (
    <div class="desk">
      <h1 class="only-heard" ref={heading} tabIndex={-1}>
        {t('shell.desk')}
      </h1>
      <section class="desk-side" aria-label={t('shell.findings')}>
        <Findings />
      </section>
      <section class="desk-side" aria-label={t('shell.plot')}>
        <Plot />
      </section>
      <section class="desk-side" aria-label={t('shell.diary')}>
        <Diary />
      </section>
    </div>
  );
}
