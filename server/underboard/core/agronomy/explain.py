"""A calculation explained in Markdown: question, inputs, method, source, edges, worked example."""

from __future__ import annotations

import json
import re
from inspect import cleandoc

from underboard.core.agronomy.contract import Calculation, evaluate_with
from underboard.core.agronomy.param import LONGEST_LIST, NO_DEFAULT, Param

_RANGED = ("number", "integer", "count")


def explain(calculation: Calculation, *, level: int = 1) -> str:
    """Write the explanation of one calculation, its worked example computed here and now.

    Parameters
    ----------
    calculation
        What to explain.
    level
        Heading level of the title.
    """
    head = "#" * level
    lines = [f"{head} {calculation.name}", "", calculation.question, "", f"{head}# Inputs", ""]
    for param in calculation.params:
        lines += _input_lines(param, "")
    lines += [
        "",
        f"{head}# Method",
        "",
        *_with_section(calculation, calculation.method, "Notes"),
        f"{head}# Source",
        "",
        *_with_section(calculation, calculation.source, "References"),
    ]
    if calculation.returns:
        lines += [f"{head}# Answer", ""]
        lines += [f"- `{key}`: {meaning}" for key, meaning in calculation.returns.items()]
        lines.append("")
    if calculation.rules:
        lines += [f"{head}# Limits and edges", ""]
        lines += [f"- {rule}" for rule in calculation.rules]
        lines.append("")
    answer = evaluate_with(calculation, json.loads(json.dumps(calculation.example)))
    lines += [
        f"{head}# Worked example",
        "",
        "```json",
        json.dumps(calculation.example, ensure_ascii=False),
        "```",
        "",
    ]
    lines += ["gives", "", "```json", json.dumps(answer, indent=1, ensure_ascii=False), "```"]
    return "\n".join(lines)


def _with_section(calculation: Calculation, said: str, title: str) -> list[str]:
    """What the description says in a line, then in full that section of the function's docstring."""
    text = cleandoc(calculation.run.__doc__ or "")
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[\w ]*\n-+$|\Z)", text, re.M | re.S)
    full = found[1].strip().replace("``", "`").replace("::\n", ":\n") if found else ""
    return [said, "", full, ""] if full else [said, ""]


def _input_lines(param: Param, indent: str) -> list[str]:
    words = [param.kind.replace("_", " ")]
    if param.unit:
        words.append(param.unit)
    if param.choices:
        words.append(" | ".join(param.choices))
    if any(word in param.kind for word in _RANGED):
        words.append(param.range_words())
    if param.min_len:
        words.append(f"at least {param.min_len}")
    if param.max_len < LONGEST_LIST:
        words.append(f"at most {param.max_len}")
    words.append("required" if param.required else "optional")
    if not param.required and param.default not in (NO_DEFAULT, None):
        words.append(f"default {param.default}")
    lines = [f"{indent}- `{param.key}` ({', '.join(words)}): {param.doc}"]
    for inner in param.fields:
        lines += _input_lines(inner, indent + "  ")
    return lines
