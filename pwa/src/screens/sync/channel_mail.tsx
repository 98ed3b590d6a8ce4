import { useState } from 'preact/hooks';
import type { Channels as Known } from '../../generated/api';
import { Button, TextField } from '../../parts';
import { notices } from '../../sync/notices';
import { t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';
import { type Act, Section, TargetState, TrialButton } from './channel_parts';
import { looksLikeMail } from './channels_model';

type Props = { known: Known; facts: PlotFacts; act: Act; busy: boolean };

/** Mail addresses of the plot; owners change them. */
export function Mail({ known, facts, act, busy }: Props) {
  const { set_up, addresses } = known.email;
  const owner = facts.role === 'owner';
  const remove = (id: string) =>
    act(async () => {
      await notices.removeAddress(id);
      return undefined;
    });
  return (
    <Section title={t('channels.mail')}>
      {!set_up && <p>{t('channels.mail_not_set_up')}</p>}
      {addresses.length === 0 && set_up && <p class="soft">{t('channels.mail_none')}</p>}
      <ul class="devices">
        {addresses.map((one) => (
          <li key={one.id} class="device">
            <div class="row-apart">
              <div class="grow">
                <strong class="breaks">{one.label}</strong>
                <TargetState target={one} facts={facts} />
              </div>
              {owner && (
                <Button
                  kind="quiet"
                  disabled={busy}
                  aria-label={`${t('channels.remove')}: ${one.label}`}
                  onClick={() => void remove(one.id)}
                >
                  {t('channels.remove')}
                </Button>
              )}
            </div>
            {owner && set_up && one.state !== 'stopped' && (
              <TrialButton kind="email" id={one.id} act={act} busy={busy} />
            )}
          </li>
        ))}
      </ul>
      {owner ? <Add act={act} busy={busy} /> : <p class="soft small">{t('channels.mail_owner')}</p>}
    </Section>
  );
}

function Add({ act, busy }: { act: Act; busy: boolean }) {
  const [address, setAddress] = useState('');
  const [tried, setTried] = useState(false);
  const fit = looksLikeMail(address);
  const add = async () => {
    setTried(true);
    if (!fit) return;
    await act(async () => {
      await notices.addAddress(address.trim());
      setAddress('');
      setTried(false);
      return undefined;
    });
  };
  return (
    <form
      class="stack-tight"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void add();
      }}
    >
      <TextField
        label={t('channels.mail_add')}
        type="email"
        inputMode="email"
        autocomplete="email"
        maxLength={254}
        value={address}
        onText={setAddress}
        error={tried && !fit ? t('channels.mail_fault') : undefined}
      />
      <Button type="submit" disabled={busy}>
        {t('channels.mail_add_do')}
      </Button>
    </form>
  );
}
