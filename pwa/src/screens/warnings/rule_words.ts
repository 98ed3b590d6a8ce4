/** What the server's specification says of its rules, in the language of the screen. */
import { RULES, type RuleSetting, type RuleSpec } from '../../generated/api';
import { translated } from '../../text';

type Named = Pick<RuleSpec, 'name'>;

/** What nobody has translated comes as the server words it. */
export function ruleTitle(name: string): string {
  const english = RULES.find((rule) => rule.name === name)?.title ?? name.replaceAll('_', ' ');
  return translated('rules', `${name}_title`, english);
}

export function ruleQuestion({ name, question }: Pick<RuleSpec, 'name' | 'question'>): string {
  return translated('rules', `${name}_question`, question);
}

export function settingDoc(rule: Named, { name, doc }: Pick<RuleSetting, 'name' | 'doc'>): string {
  return translated('rules', `${rule.name}_${name}`, doc);
}

export function settingUnit({ unit }: Pick<RuleSetting, 'unit'>): string {
  return unit ? translated('rules', `unit_${unit}`, unit) : '';
}
