import { useEffect, useState } from 'preact/hooks';
import { Button, Card } from '../../parts';
import { type DeviceInfo, devices, revokeDevice, syncState } from '../../sync';
import { t } from '../../text';
import { Question } from '../forms/ask_first';
import { dayWords, localDay } from '../forms/local_time';
import type { PlotFacts } from '../forms/plot_facts';
import { LetIn } from './let_in';

/** Phones and loggers of the plot, as the server knows them. */
export function Devices({ mine, facts }: { mine: string; facts: PlotFacts }) {
  const [known, setKnown] = useState<DeviceInfo[] | 'unreached' | undefined>(undefined);
  const fetchAll = () =>
    devices().then(setKnown, () => setKnown((now) => (Array.isArray(now) ? now : 'unreached')));
  const reached = syncState.value.last_sync_at;
  useEffect(() => {
    void fetchAll();
  }, [reached]);
  return (
    <Card title={t('sync.devices')} icon="people">
      {known === 'unreached' && <p class="soft">{t('sync.devices_unreached')}</p>}
      {Array.isArray(known) && (
        <ul class="devices">
          {known.map((device) => (
            <Device
              key={device.id}
              device={device}
              mine={device.id === mine}
              facts={facts}
              onDone={fetchAll}
            />
          ))}
        </ul>
      )}
      {facts.role === 'owner' && <LetIn facts={facts} onDone={fetchAll} />}
    </Card>
  );
}

type DeviceProps = { device: DeviceInfo; mine: boolean; facts: PlotFacts; onDone: () => Promise<void> };

function Device({ device, mine, facts, onDone }: DeviceProps) {
  const [sure, setSure] = useState(false);
  const [failed, setFailed] = useState(false);
  const cut = Boolean(device.revoked_at);
  const seen = device.last_seen_at
    ? t('sync.device_seen', {
        when: dayWords(localDay(device.last_seen_at, facts.time_zone), localDay(new Date(), facts.time_zone)),
      })
    : t('sync.device_never');
  const revoke = async () => {
    try {
      await revokeDevice(device.id);
      setSure(false);
      await onDone();
    } catch {
      setFailed(true);
    }
  };
  const question = mine
    ? t('sync.revoke_this_sure', { n: syncState.value.only_here })
    : t('sync.revoke_sure', { name: device.name });
  return (
    <li class="device">
      <div class="row-apart">
        <div class="grow">
          <strong>{device.name}</strong> {mine && <span class="soft">({t('sync.device_this')})</span>}
          <p class="soft small">{cut ? t('sync.device_revoked') : seen}</p>
        </div>
        {!cut && !sure && (mine || facts.role === 'owner') && (
          <Button kind="quiet" onClick={() => setSure(true)}>
            {t('sync.revoke')}
          </Button>
        )}
      </div>
      {sure && (
        <Question yes={t('sync.revoke_yes')} onYes={() => void revoke()} onNo={() => setSure(false)}>
          <p>{question}</p>
          {failed && <p>{t('sync.revoke_failed')}</p>}
        </Question>
      )}
    </li>
  );
}
