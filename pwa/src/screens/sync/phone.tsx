import { useEffect, useState } from 'preact/hooks';
import { Button, Card, lookChoice, Segmented, SelectField, TextField, Toggle } from '../../parts';
import { hand } from '../../parts/hand';
import { meta, setMeta } from '../../storage';
import { chooseLanguage, LANGUAGES, languageChoice, t } from '../../text';
import type { PlotFacts } from '../forms/plot_facts';

/** Who counts with this phone, how it looks, and how safely it keeps things. */
export function Phone({ facts }: { facts: PlotFacts }) {
  return (
    <Card title={t('sync.phone')}>
      <Who facts={facts} />
      <Segmented
        label={t('shell.look')}
        value={lookChoice.value}
        choices={(['auto', 'dawn', 'day'] as const).map((value) => ({
          value,
          label: t(`shell.look_${value}`),
        }))}
        onChoose={(value) => {
          lookChoice.value = value;
        }}
      />
      <p class="soft small">{t('shell.look_hint')}</p>
      <SelectField
        label={t('sync.language')}
        hint={t('sync.language_hint')}
        value={languageChoice()}
        choices={[
          { value: 'auto', label: t('sync.language_auto') },
          ...LANGUAGES.map(({ code, name }) => ({ value: code, label: name })),
        ]}
        onChoose={(choice) => void chooseLanguage(choice)}
      />
      <Toggle
        label={t('sync.left_hand')}
        hint={t('sync.left_hand_hint')}
        on={hand.value === 'left'}
        onChange={(left) => {
          hand.value = left ? 'left' : 'right';
        }}
      />
      <Switch name="photos_on_mobile" label={t('sync.photos_mobile')} hint={t('sync.photos_mobile_hint')} />
      {/* Not of the app: pages of the server, in a window of their own, so that nothing half typed is left. */}
      <a class="button button-plain button-wide" href="/help/" target="_blank" rel="noopener">
        <span>{t('sync.help')}</span>
      </a>
      <p class="soft small">{t('sync.help_hint')}</p>
    </Card>
  );
}

function Who({ facts }: { facts: PlotFacts }) {
  const [name, setName] = useState(facts.observer);
  const [saved, setSaved] = useState(false);
  const changed = name.trim() !== '' && name.trim() !== facts.observer;
  const save = async () => {
    await setMeta('observer', name.trim());
    setSaved(true);
  };
  return (
    <div class="stack-tight">
      <TextField
        label={t('sync.who')}
        autocomplete="name"
        maxLength={80}
        value={name}
        onText={(text) => {
          setName(text);
          setSaved(false);
        }}
      />
      {changed && !saved && <Button onClick={() => void save()}>{t('sync.who_save')}</Button>}
      {saved && <p role="status">{t('sync.who_saved')}</p>}
      {facts.role && <p class="soft small">{t(`sync.role_${facts.role as 'owner'}`)}</p>}
    </div>
  );
}

/** A yes-or-no of this phone, kept in its own settings. */
function Switch({ name, label, hint }: { name: string; label: string; hint: string }) {
  const [on, setOn] = useState(false);
  useEffect(() => {
    void meta<boolean>(name).then((value) => setOn(value === true));
  }, [name]);
  const flip = (value: boolean) => {
    setOn(value);
    void setMeta(name, value);
  };
  return <Toggle label={label} hint={hint} on={on} onChange={flip} />;
}
