/** What the plot wants of a rule: from its record to a form and back. Pure. */
import { uuid5 } from '../../domain/uuid5';
import type { RuleSetting, RuleSpec, Watch } from '../../generated/api';
import { numberOf } from '../forms/typed_number';
import { celsius, inUnit, type TemperatureUnit } from '../readings/model';

export type Channel = NonNullable<Watch['channels']>[number];
export const CHANNELS: readonly Channel[] = ['push', 'email', 'calendar'];

/** The one record of a rule: two phones that never met make the same. */
export function watchId(plotId: string, rule: string): string {
  return uuid5(plotId, `watch/${rule}`);
}

/** Of several records of one rule the one with the smallest id holds. */
export function watchOf<W extends { id: string; body: Partial<Watch> }>(
  watches: readonly W[],
  rule: string,
): W | undefined {
  return watches
    .filter(({ body }) => body.rule === rule)
    .sort((a, b) => (a.id < b.id ? -1 : a.id > b.id ? 1 : 0))[0];
}

export interface WatchForm {
  on: boolean;
  /** As typed; empty is the usual. */
  values: Record<string, string>;
  quiet: boolean;
  quiet_from: string;
  quiet_to: string;
  wake: boolean;
  channels: Channel[];
}

/** Where nothing is said the server keeps quiet in these hours; from a time to the same time is never. */
const QUIET = { from: '22:00', to: '06:00' } as const;
const NEVER_QUIET = { quiet_from: '00:00', quiet_to: '00:00' } as const;
/** Stands in the settings of every rule, beside those of its own. */
const WAKE = 'wake';

export function isDegrees(setting: RuleSetting): boolean {
  return setting.kind === 'number' && setting.name.endsWith('_c');
}

/** What a setting is, and, apart, where its usual value comes from: that stands in brackets at the end. */
export function labelOf(doc: string): { label: string; aside: string } {
  const [, label = doc, aside = ''] = /^(.*?)\s*\(([^()]*)\)\.?$/s.exec(doc) ?? [];
  return { label: label.replace(/\.$/, ''), aside };
}

const NO_LIMIT = 100_000;

/** Bounds so wide that nobody meets them are not told. */
export function isTold({ low, high }: RuleSetting): boolean {
  return low !== undefined && high !== undefined && high < NO_LIMIT;
}

/** A value of a setting as the form shows it. */
export function shown(setting: RuleSetting, value: unknown, unit: TemperatureUnit): string {
  if (value === null || value === undefined) return '';
  if (typeof value === 'number' && isDegrees(setting)) return String(inUnit({ value, unit: 'degC' }, unit));
  return String(value);
}

export function formOf(rule: RuleSpec, body: Partial<Watch> | undefined, unit: TemperatureUnit): WatchForm {
  const given = body?.settings ?? {};
  return {
    on: body?.on ?? rule.on,
    values: Object.fromEntries(
      rule.settings.map((setting) => [setting.name, shown(setting, given[setting.name], unit)]),
    ),
    ...quietOf(body),
    wake: typeof given[WAKE] === 'boolean' ? given[WAKE] : rule.wake,
    channels: [...(body?.channels ?? CHANNELS)],
  };
}

function quietOf(body: Partial<Watch> | undefined): Pick<WatchForm, 'quiet' | 'quiet_from' | 'quiet_to'> {
  const { quiet_from: from, quiet_to: to } = body ?? {};
  const hours = from && to && from !== to ? { from, to } : QUIET;
  return { quiet: !from || from !== to, quiet_from: hours.from, quiet_to: hours.to };
}

/** The fields that say so; the usual is not written down. */
function quietSet(form: WatchForm, body: Partial<Watch> | undefined): Record<string, unknown> {
  if (!form.quiet) return NEVER_QUIET;
  const { quiet_from, quiet_to } = form;
  if (quiet_from !== QUIET.from || quiet_to !== QUIET.to) return { quiet_from, quiet_to };
  return body?.quiet_from || body?.quiet_to ? { quiet_from: null, quiet_to: null } : {};
}

/** What was touched in the form and not saved yet. */
export type Edits = Partial<Omit<WatchForm, 'values'>> & { values: Record<string, string> };
export const UNTOUCHED: Edits = { values: {} };

export function edited(form: WatchForm, edits: Edits): WatchForm {
  return { ...form, ...edits, values: { ...form.values, ...edits.values } };
}

export type Fault = 'fault_number' | 'fault_whole' | 'fault_range' | 'fault_low' | 'fault_high';

/** What is wrong with what was typed; undefined where it may be kept. */
export function faultOf(setting: RuleSetting, text: string, unit: TemperatureUnit): Fault | undefined {
  if (text.trim() === '' || (setting.kind !== 'number' && setting.kind !== 'whole')) return undefined;
  const value = canonical(setting, text, unit);
  if (typeof value !== 'number') return 'fault_number';
  if (setting.kind === 'whole' && !Number.isInteger(value)) return 'fault_whole';
  const { low, high } = setting;
  const under = low !== undefined && value < low;
  const over = high !== undefined && value > high;
  if (!under && !over) return undefined;
  if (low !== undefined && high !== undefined) return 'fault_range';
  return under ? 'fault_low' : 'fault_high';
}

/** The value as the rule takes it; undefined when it says the same as saying nothing. */
export function canonical(setting: RuleSetting, text: string, unit: TemperatureUnit): unknown {
  const typed = text.trim();
  if (typed === '') return undefined;
  if (setting.kind === 'yes_no') return typed === 'true';
  if (setting.kind !== 'number' && setting.kind !== 'whole') return typed;
  const value = numberOf(typed);
  if (value === undefined) return typed;
  return isDegrees(setting) ? celsius({ value, unit }) : value;
}

/** Fields of the watch record. Settings this app does not know stay as they are; the usual is not written down. */
export function watchSet(
  rule: RuleSpec,
  form: WatchForm,
  body: Partial<Watch> | undefined,
  unit: TemperatureUnit,
): Record<string, unknown> {
  const settings: Record<string, unknown> = { ...body?.settings };
  for (const setting of rule.settings) {
    const text = form.values[setting.name] ?? '';
    const before = body?.settings?.[setting.name];
    // What was not touched keeps its exact value, whatever rounding the form showed.
    if (text === shown(setting, before, unit)) continue;
    const value = canonical(setting, text, unit);
    if (value === undefined || value === setting.default) delete settings[setting.name];
    else settings[setting.name] = value;
  }
  if (form.wake === rule.wake) delete settings[WAKE];
  else settings[WAKE] = form.wake;
  const all = CHANNELS.every((channel) => form.channels.includes(channel));
  const written = body !== undefined;
  const set: Record<string, unknown> = { rule: rule.name, on: form.on };
  if (Object.keys(settings).length > 0 || body?.settings) set.settings = settings;
  Object.assign(set, quietSet(form, body));
  if (!all) set.channels = CHANNELS.filter((channel) => form.channels.includes(channel));
  else if (written && body.channels) set.channels = null;
  return set;
}

/** From which chance on acting pays: cost over loss [0 to 1]. Undefined where the rule does not weigh them. */
export function threshold(rule: RuleSpec, form: WatchForm) {
  const value = (name: string): number | undefined => {
    const setting = rule.settings.find((one) => one.name === name);
    if (!setting) return undefined;
    return numberOf(form.values[name] || String(setting.default ?? ''));
  };
  const cost = value('cost');
  const loss = value('loss');
  if (cost === undefined || loss === undefined || loss <= 0 || cost < 0) return undefined;
  return { cost, loss, p: Math.min(1, cost / loss) };
}

/** Something was chosen that differs from the usual. */
export function isChanged(rule: RuleSpec, body: Partial<Watch> | undefined): boolean {
  if (!body) return false;
  const own =
    Object.keys(body.settings ?? {}).length > 0 || Boolean(body.quiet_from) || Boolean(body.channels);
  return own || (body.on !== undefined && body.on !== rule.on);
}
