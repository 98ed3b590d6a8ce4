import { useState } from 'preact/hooks';
import type { RuleSetting, RuleSpec } from '../../generated/api';
import { Button, ButtonLink, Card, Notice, PageHeader, SelectField, TextField, Toggle } from '../../parts';
import type { View } from '../../storage';
import { decimals, t } from '../../text';
import { mayRecord, type PlotFacts } from '../forms/plot_facts';
import { useDraft } from '../forms/use_draft';
import { kept, saveChange } from '../forms/write';
import { ruleQuestion, ruleTitle, settingDoc, settingUnit } from '../warnings/rule_words';
import { asWritten } from '../warnings/words';
import {
  CHANNELS,
  type Channel,
  type Edits,
  edited,
  faultOf,
  formOf,
  isDegrees,
  isTold,
  labelOf,
  shown,
  threshold,
  UNTOUCHED,
  type WatchForm,
  watchId,
  watchSet,
} from './model';

type Change = (next: Partial<WatchForm>) => void;
type Props = { rule: RuleSpec; watch: View<'watch'> | undefined; facts: PlotFacts };

/** One rule: on or off, its own thresholds, quiet hours, the ways its warnings take. Kept offline. */
export function RuleForm({ rule, watch, facts }: Props) {
  // Only what was touched here: the rest follows the record, which another phone may change meanwhile.
  const draft = useDraft<Edits>(`watch/${rule.name}`, UNTOUCHED, watch);
  const [tried, setTried] = useState(false);
  const [saved, setSaved] = useState(false);
  const form = edited(formOf(rule, watch?.body, facts.unit), draft.value);
  const change: Change = (next) => {
    setSaved(false);
    draft.change(next);
  };
  const faults = rule.settings.filter((one) => faultOf(one, form.values[one.name] ?? '', facts.unit));
  const save = async () => {
    if (faults.length > 0) return setTried(true);
    const id = watch?.id ?? (facts.plot_id && watchId(facts.plot_id, rule.name));
    if (!id) return;
    const set = watchSet(rule, form, watch?.body, facts.unit);
    if (!(await kept(() => saveChange('watch', id, set, draft.shown)))) return;
    await draft.clear();
    setTried(false);
    setSaved(true);
  };
  return (
    <div class="page">
      <PageHeader title={ruleTitle(rule.name)} back="/watch" under={ruleQuestion(rule)} />
      {watch && watch.conflicts.length > 0 && (
        <Notice tone="bad" action={<ButtonLink to="/sync">{t('watch.to_settle')}</ButtonLink>}>
          {t('watch.conflict')}
        </Notice>
      )}
      <fieldset class="watch-fields" disabled={!mayRecord(facts)}>
        <Card>
          <Toggle label={t('watch.switch')} on={form.on} onChange={(on) => change({ on })} />
        </Card>
        {rule.settings.length > 0 && (
          <Card title={t('watch.settings')}>
            {rule.settings.map((setting) => (
              <OneSetting
                key={setting.name}
                rule={rule}
                setting={setting}
                text={form.values[setting.name] ?? ''}
                facts={facts}
                tried={tried}
                onText={(text) => change({ values: { ...draft.value.values, [setting.name]: text } })}
              />
            ))}
            <CostLoss rule={rule} form={form} />
          </Card>
        )}
        <Quiet form={form} change={change} />
        <Ways form={form} change={change} />
      </fieldset>
      {mayRecord(facts) ? (
        <Button kind="main" wide onClick={() => void save()}>
          {t('watch.save')}
        </Button>
      ) : (
        <Notice>{t('watch.reader_only')}</Notice>
      )}
      <div role="status">{saved && <Notice tone="good">{t('watch.saved')}</Notice>}</div>
      <p class="soft small" lang={asWritten()}>
        {t('watch.source', { source: rule.source })}
      </p>
    </div>
  );
}

type SettingProps = {
  rule: RuleSpec;
  setting: RuleSetting;
  text: string;
  facts: PlotFacts;
  tried: boolean;
  onText: (text: string) => void;
};

function OneSetting({ rule, setting, text, facts, tried, onText }: SettingProps) {
  const { name, kind, choices } = setting;
  const { label: doc, aside } = labelOf(settingDoc(rule, setting));
  const usual = shown(setting, setting.default, facts.unit);
  const unit = isDegrees(setting) ? t(`forms.unit_${facts.unit}`) : settingUnit(setting);
  if (kind === 'yes_no') {
    return (
      <Toggle
        label={doc}
        on={(text || usual) === 'true'}
        onChange={(on) => onText(String(on) === usual ? '' : String(on))}
      />
    );
  }
  if (choices && choices.length > 0) {
    return (
      <SelectField
        label={doc}
        value={text || usual}
        choices={choices.map((value) => ({ value, label: value.replaceAll('_', ' ') }))}
        onChoose={(value) => onText(value === usual ? '' : value)}
      />
    );
  }
  const fault = tried ? faultOf(setting, text, facts.unit) : undefined;
  const bounds = {
    low: shown(setting, setting.low, facts.unit),
    high: shown(setting, setting.high, facts.unit),
  };
  const hints = [
    usual === '' ? '' : t('watch.usual', { value: [usual, unit].filter(Boolean).join('\u00a0') }),
    isTold(setting) ? t('watch.range', bounds).replaceAll('-', '\u2212') : '',
    aside,
  ];
  return (
    <TextField
      key={name}
      label={unit ? `${doc} [${unit}]` : doc}
      hint={hints.filter(Boolean).join('\u00a0· ')}
      error={fault && t(`watch.${fault}`, bounds)}
      inputMode={kind === 'text' ? 'text' : 'decimal'}
      placeholder={usual}
      value={text}
      onText={onText}
    />
  );
}

function CostLoss({ rule, form }: { rule: RuleSpec; form: WatchForm }) {
  const found = threshold(rule, form);
  if (!found) return null;
  return (
    <p class="watch-weighed" aria-live="polite">
      {t('watch.cost_loss', {
        cost: tidy(found.cost),
        loss: tidy(found.loss),
        p: decimals(100 * found.p, 0),
      })}
    </p>
  );
}

function tidy(value: number): string {
  return decimals(value, Number.isInteger(value) ? 0 : 2);
}

type PartProps = { form: WatchForm; change: Change };

function Quiet({ form, change }: PartProps) {
  return (
    <Card title={t('watch.quiet')} icon="moon">
      <p class="soft small">{t('watch.quiet_hint')}</p>
      <Toggle label={t('watch.quiet_on')} on={form.quiet} onChange={(quiet) => change({ quiet })} />
      {form.quiet && (
        <>
          <div class="pair-grid">
            <TextField
              label={t('watch.quiet_from')}
              type="time"
              value={form.quiet_from}
              onText={(quiet_from) => quiet_from && change({ quiet_from })}
            />
            <TextField
              label={t('watch.quiet_to')}
              type="time"
              value={form.quiet_to}
              onText={(quiet_to) => quiet_to && change({ quiet_to })}
            />
          </div>
          <Toggle
            label={t('watch.wake')}
            hint={t('watch.wake_hint')}
            on={form.wake}
            onChange={(wake) => change({ wake })}
          />
        </>
      )}
    </Card>
  );
}

function Ways({ form, change }: PartProps) {
  const put = (channel: Channel, on: boolean) =>
    change({
      channels: CHANNELS.filter((one) => (one === channel ? on : form.channels.includes(one))),
    });
  return (
    <Card title={t('watch.ways')}>
      <p class="soft small">{t('watch.ways_hint')}</p>
      {CHANNELS.map((channel) => (
        <Toggle
          key={channel}
          label={t(`watch.way_${channel}`)}
          on={form.channels.includes(channel)}
          onChange={(on) => put(channel, on)}
        />
      ))}
    </Card>
  );
}
