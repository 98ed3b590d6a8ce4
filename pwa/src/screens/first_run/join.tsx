import { useEffect, useState } from 'preact/hooks';
import { Button, Card, Caution, Notice, navigate, PageHeader, TextField } from '../../parts';
import { codeFromFragment, pair } from '../../sync';
import { inOurWords, t } from '../../text';
import { useDraft } from '../forms/use_draft';
import type { Standing } from './index';
import { pairingCode } from './model';

/** Join by the code of an opened link, or by one that is typed or pasted. */
export function Join({ standing }: { standing: Standing }) {
  const draft = useDraft<{ code: string; phone: string }>('join', { code: '', phone: '' });
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState('');
  const linked = codeFromFragment(location.hash);
  useEffect(() => {
    if (draft.ready && linked) draft.change({ code: linked });
  }, [draft.ready]);
  if (!draft.ready) return <div class="page page-bare" aria-busy="true" />;
  const usual = standing.observer
    ? t('first_run.phone_name_of', { name: standing.observer })
    : t('first_run.phone_name_usual');
  const join = async () => {
    const code = pairingCode(draft.value.code);
    if (!code) return setError(t('first_run.code_missing'));
    setBusy(true);
    setError('');
    const answer = await pair(code, draft.value.phone.trim() || usual);
    setBusy(false);
    if (!answer.ok) return setError(inOurWords(answer.words));
    await draft.clear();
    // The code is used up: it must not be tried again by a reload or stay in the history.
    navigate('/start', { replace: true });
    history.replaceState(history.state, '', '/start');
  };
  return (
    <form
      class="page page-bare"
      onSubmit={(event) => {
        event.preventDefault();
        void join();
      }}
    >
      <PageHeader title={t('first_run.join_title')} />
      <p>{t('first_run.join_text')}</p>
      <Card>
        <TextField
          label={t('first_run.code')}
          hint={t('first_run.code_hint')}
          error={error || undefined}
          autocomplete="one-time-code"
          value={draft.value.code}
          onText={(code) => draft.change({ code })}
        />
        <TextField
          label={t('first_run.phone_name')}
          hint={t('first_run.phone_name_hint')}
          placeholder={usual}
          maxLength={60}
          value={draft.value.phone}
          onText={(phone) => draft.change({ phone })}
        />
        <Button kind="main" wide type="submit" disabled={busy}>
          {busy ? t('first_run.joining') : t('first_run.join')}
        </Button>
      </Card>
      {standing.paired?.plot_name && (
        <Notice>{t('first_run.already', { plot: standing.paired.plot_name })}</Notice>
      )}
      <Caution>{t('first_run.join_home_screen')}</Caution>
    </form>
  );
}
