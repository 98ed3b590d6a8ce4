import { useState } from 'preact/hooks';
import { Button, ButtonLink, Card } from '../../parts';
import { discard, type Problem } from '../../storage';
import { inOurWords, t } from '../../text';
import { kept } from '../forms/write';
import { problemWords } from './problem_words';
import { fieldWords } from './value_words';

type Props = { view: { id: string; type: string; needs_fix?: Problem | { title: string } }; what: string };

/** An entry the server refuses as it is, with the server's own words about each field. */
export function FixCard({ view, what }: Props) {
  const [sure, setSure] = useState(false);
  const problem = view.needs_fix as Problem;
  return (
    <Card tone="bad" icon="caution" title={t('sync.fix_title', { what })}>
      <p>{problemWords(problem)}</p>
      <ul class="stack-tight">
        {(problem.errors ?? []).map((error) => (
          <li key={error.pointer}>
            <strong>{fieldWords(error.pointer.split('/').at(-1) ?? '')}</strong>: {inOurWords(error.detail)}
          </li>
        ))}
      </ul>
      {sure ? (
        <div class="stack-tight">
          <p role="alert">{t('sync.fix_discard_sure')}</p>
          <div class="sides">
            <Button kind="bad" onClick={() => void kept(() => discard(view.id))}>
              {t('sync.fix_discard_yes')}
            </Button>
            <Button onClick={() => setSure(false)}>{t('parts.cancel')}</Button>
          </div>
        </div>
      ) : (
        <div class="sides">
          <ButtonLink to="/diary">{t('sync.fix_mend')}</ButtonLink>
          <Button kind="bad" onClick={() => setSure(true)}>
            {t('sync.fix_discard')}
          </Button>
        </div>
      )}
    </Card>
  );
}
