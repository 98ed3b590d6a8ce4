"""Write the phone's view of the contract: `pwa/src/generated/api.ts` from the marshmallow schemas.

Run `python -m underboard.web.contract [FILE]`; a test proves that the committed file is fresh.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final, get_args

from marshmallow import Schema, fields, validate

from underboard.core.records import RECORD_TYPES
from underboard.core.records.spec import Field
from underboard.core.warnings import RULES
from underboard.core.warnings.terms import Group, Rule, Setting, SettingKind
from underboard.web.schemas import answers, channels, sync
from underboard.web.schemas.records import class_name, record_schema

TARGET: Final = Path("pwa/src/generated/api.ts")
HEAD: Final = """\
// Made by `python -m underboard.web.contract` from the server's schemas. Do not edit: run it again.
// Times are RFC 3339 with an offset; quantities are kept as they were entered, with their unit.
"""
ENVELOPES: Final = (
    answers.ProblemFaultSchema,
    answers.ProblemSchema,
    answers.SchemaRangeSchema,
    answers.HelloSchema,
    answers.PairRequestSchema,
    answers.PairAnswerSchema,
    answers.MeSchema,
    answers.DeviceSchema,
    answers.DevicesSchema,
    answers.CodeRequestSchema,
    answers.CodeAnswerSchema,
    channels.TargetSchema,
    channels.PushStateSchema,
    channels.MailStateSchema,
    channels.CalendarStateSchema,
    channels.ChannelsSchema,
    channels.SubscriptionSchema,
    channels.MailAddressSchema,
    channels.MadeTargetSchema,
    channels.MadeFeedSchema,
    channels.TrialMessageSchema,
    sync.PushOpSchema,
    sync.PushEnvelopeSchema,
    sync.ConflictSchema,
    sync.PulledRecordSchema,
    sync.PushResultSchema,
    sync.PushAnswerSchema,
    sync.PullAnswerSchema,
)


def make() -> str:
    """The whole TypeScript file."""
    parts = [HEAD, "export type Quantity<U extends string = string> = { value: number; unit: U };\n"]
    parts.append("export type PhotoRef = { sha256: string; bytes: number };\n")
    parts.append("export type Taxon = { name: string; count: number };\n")
    parts += [_record_interface(name) for name in RECORD_TYPES]
    parts.append(_record_map())
    parts.append(_spec_table())
    parts.append(_rule_table())
    parts += [_envelope_interface(schema) for schema in ENVELOPES]
    return "\n".join(parts)


def _record_interface(name: str) -> str:
    record = RECORD_TYPES[name]
    members = record_schema(name)._declared_fields
    lines = [_comment(record.doc), f"export interface {class_name(name)} {{"]
    for field_name, member in members.items():
        spec = record.fields[field_name]
        lines += [_comment(_words(spec), "  "), f"  {field_name}?: {ts_type(member)};"]
    return "\n".join([*lines, "}", ""])


def _words(spec: Field) -> str:
    """The doc of a field with its bounds, for a person who fills it in."""
    low, high = spec.minimum, spec.maximum
    bounds = f" {low:g} to {high:g}." if low is not None and high is not None else ""
    return spec.doc + bounds + (" Needed at creation." if spec.required else "")


def _record_map() -> str:
    server_written = [name for name, record in RECORD_TYPES.items() if record.server_written]
    lines = ["/** Record type on the wire → its interface. */", "export interface RecordOf {"]
    lines += [f"  {name}: {class_name(name)};" for name in RECORD_TYPES]
    lines += ["}", "export type RecordType = keyof RecordOf;", ""]
    lines += ["/** A change of a record: null clears a field that is not required. */"]
    lines += [
        "export type SetOf<T extends RecordType> = { [K in keyof RecordOf[T]]?: RecordOf[T][K] | null };",
        "",
    ]
    lines += ["/** Written by the server alone; a phone that pushes one is refused. */"]
    lines += [f"export const SERVER_WRITTEN: readonly RecordType[] = {_literal(server_written)};", ""]
    return "\n".join(lines)


def _spec_table() -> str:
    lines = [
        f"export type FieldKind = {' | '.join(_quoted(kind) for kind in _kinds())};",
        "export interface FieldSpec {",
        "  kind: FieldKind;",
        "  required?: true;",
        "  choices?: readonly string[];",
        "  units?: readonly string[];",
        "  minimum?: number;",
        "  maximum?: number;",
        "  max_length?: number;",
        "  target?: string;",
        "}",
        "",
        "/** What each field may hold: enough to check an entry on the phone before it is saved. */",
        "export const RECORD_FIELDS: { readonly [T in RecordType]: { readonly [field: string]: FieldSpec } } = {",
    ]
    for name, record in RECORD_TYPES.items():
        lines.append(f"  {name}: {{")
        lines += [f"    {field.name}: {_literal(_spec_facts(field))}," for field in record.fields.values()]
        lines.append("  },")
    return "\n".join([*lines, "};", ""])


def _kinds() -> list[str]:
    return sorted({field.kind for record in RECORD_TYPES.values() for field in record.fields.values()})


def _spec_facts(field: Field) -> dict[str, Any]:
    facts: dict[str, Any] = {"kind": field.kind}
    if field.required:
        facts["required"] = True
    for name in ("choices", "units", "minimum", "maximum", "target"):
        value = getattr(field, name)
        if value not in ((), None, ""):
            facts[name] = list(value) if isinstance(value, tuple) else value
    if field.kind in ("text", "refs", "taxa", "photos", "outline", "numbers", "choices"):
        facts["max_length"] = field.max_length
    return facts


def _rule_table() -> str:
    """The rules of warnings in the order in which people read them, with what may be set about each."""
    groups = " | ".join(_quoted(one) for one in get_args(Group))
    kinds = " | ".join(_quoted(one) for one in get_args(SettingKind))
    lines = [
        f"export type RuleGroup = {groups};",
        "export interface RuleSetting {",
        "  name: string;",
        f"  kind: {kinds};",
        "  /** What it is when the person says nothing, or something unfit. */",
        "  default: number | boolean | string | null;",
        "  doc: string;",
        "  unit?: string;",
        "  /** Bounds of a number, both included. */",
        "  low?: number;",
        "  high?: number;",
        "  choices?: readonly string[];",
        "}",
        "export interface RuleSpec {",
        "  name: string;",
        "  title: string;",
        "  question: string;",
        "  group: RuleGroup;",
        "  /** Whether it warns when the person has not said. */",
        "  on: boolean;",
        "  /** Whether it speaks in quiet hours when the person has not said. */",
        "  wake: boolean;",
        "  source: string;",
        "  settings: readonly RuleSetting[];",
        "}",
        "",
        "/** What the plot may be warned about, in the order in which people read it. */",
        "export const RULES: readonly RuleSpec[] = [",
    ]
    for rule in RULES.values():
        lines += _rule_lines(rule)
    return "\n".join([*lines, "];", ""])


def _rule_lines(rule: Rule) -> list[str]:
    facts = {
        name: getattr(rule, name) for name in ("name", "title", "question", "group", "on", "wake", "source")
    }
    lines = ["  {", *(f"    {name}: {_literal(value)}," for name, value in facts.items())]
    lines.append("    settings: [")
    lines += [f"      {_literal(_setting_facts(one))}," for one in rule.settings]
    return [*lines, "    ],", "  },"]


def _setting_facts(setting: Setting) -> dict[str, Any]:
    facts: dict[str, Any] = {"name": setting.name, "kind": setting.kind, "default": setting.default}
    for name in ("unit", "low", "high", "choices"):
        value = getattr(setting, name)
        if value not in ((), None, ""):
            facts[name] = list(value) if isinstance(value, tuple) else value
    return {**facts, "doc": setting.doc}


def _envelope_interface(schema: type[Schema]) -> str:
    lines = [_comment(schema.__doc__ or ""), f"export interface {_bare(schema)} {{"]
    for name, member in schema._declared_fields.items():
        words = member.metadata.get("description")
        if words:
            lines.append(_comment(words, "  "))
        optional = "" if member.required else "?"
        lines.append(f"  {name}{optional}: {ts_type(member)}{' | null' if member.allow_none else ''};")
    return "\n".join([*lines, "}", ""])


def ts_type(field: fields.Field[Any]) -> str:
    """The TypeScript type of one marshmallow field, null left aside."""
    if isinstance(field, fields.Nested):
        return _nested_type(field)
    if isinstance(field, fields.List):
        return _list_type(field)
    if isinstance(field, fields.Dict):
        return "Record<string, unknown>"
    if isinstance(field, fields.Boolean):
        return "boolean"
    if isinstance(field, fields.Number):
        equal = [rule.comparable for rule in _rules(field) if isinstance(rule, validate.Equal)]
        return str(equal[0]) if equal else "number"
    for rule in _rules(field):
        if isinstance(rule, validate.OneOf):
            return " | ".join(_quoted(choice) for choice in rule.choices)
        if isinstance(rule, validate.Equal):
            return _quoted(rule.comparable)
    if "x-known" in field.metadata:
        return "RecordType"
    return "string"


def _nested_type(field: fields.Nested) -> str:
    schema = field.schema
    name = _bare(type(schema))
    if not name.startswith("Quantity"):
        return name
    return f"Quantity<{ts_type(schema.fields['unit'])}>"


def _list_type(field: fields.List[Any]) -> str:
    inner = field.inner
    equal = [rule.equal for rule in _rules(inner) if isinstance(rule, validate.Length) and rule.equal]
    if isinstance(inner, fields.List) and equal:
        return f"[{', '.join([ts_type(inner.inner)] * equal[0])}][]"
    text = ts_type(inner)
    return f"({text})[]" if "|" in text else f"{text}[]"


def _rules(field: fields.Field[Any]) -> Iterator[Any]:
    yield from field.validators


def _bare(schema: type[Schema]) -> str:
    return schema.__name__.removesuffix("Schema")


def _comment(words: str, indent: str = "") -> str:
    return f"{indent}/** {' '.join(words.split()).replace('*/', '* /')} */"


def _literal(value: Any) -> str:
    """A TypeScript literal with bare keys and single quotes."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key}: {_literal(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_literal(inner) for inner in value) + "]"
    return _quoted(value) if isinstance(value, str) else json.dumps(value)


def _quoted(text: str) -> str:
    return "'" + text.replace("\\", "\\\\").replace("'", "\\'") + "'"


def main(words: Iterable[str]) -> int:
    """Write the file."""
    target = Path(next(iter(words), TARGET))
    target.write_text(make(), "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
