"""`underboard calc`: run one calculation from the command line, JSON in and JSON out.

::

    underboard calc --list                 one line each: name, question, source
    underboard calc NAME < input.json      one JSON object in, one JSON object out
    underboard calc NAME --explain         inputs, method, source, edge rules, a worked example
    underboard calc NAME --batch           JSON Lines in, JSON Lines out; errors stay in their line

Exit codes: 0 answered (also when the answer is "too few to say"), 2 the input or the command is wrong;
then standard output holds ``{"error": {"pointer", "detail"}}``. Blank lines of a batch are passed over.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Sequence
from typing import IO, Any, NoReturn

from underboard.core.agronomy import calculation, names
from underboard.core.agronomy.contract import Calculation, evaluate_with
from underboard.core.errors import InputFault

ANSWERED, REFUSED = 0, 2
_USAGE = "Use: underboard calc --list | NAME [--explain | --batch]; the input is read from standard input."


def run(argv: Sequence[str]) -> int:
    """Run the command with its arguments (without ``underboard calc``) and return the exit code."""
    try:
        code = _dispatch(list(argv))
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        # Whoever reads us has had enough (`| head`). Keep Python from complaining again at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ANSWERED


def _dispatch(argv: list[str]) -> int:
    flags = {word for word in argv if word.startswith("-")}
    words = [word for word in argv if not word.startswith("-")]
    if flags & {"-h", "--help"}:
        print(__doc__)
        return ANSWERED
    if flags == {"--list"} and not words:
        for name in names():
            found = calculation(name)
            print(f"{name}\t{found.question}\t{found.source}")
        return ANSWERED
    try:
        if len(words) != 1 or len(flags) > 1 or not flags <= {"--explain", "--batch"}:
            raise InputFault("", _USAGE)
        found = calculation(words[0])
        if "--explain" in flags:
            from underboard.core.agronomy.explain import explain

            print(explain(found))
        elif "--batch" in flags:
            _batch(found, sys.stdin.buffer, sys.stdout)
        else:
            print(_written(evaluate_with(found, _decoded(sys.stdin.buffer.read()))))
    except InputFault as fault:
        print(_written(_error(fault)))
        return REFUSED
    return ANSWERED


def _batch(found: Calculation, lines: Iterable[bytes], out: IO[str]) -> None:
    for line in lines:
        if not line.strip():
            continue
        try:
            answer = evaluate_with(found, _decoded(line))
        except InputFault as fault:
            answer = _error(fault)
        out.write(_written(answer) + "\n")


def _error(fault: InputFault) -> dict[str, Any]:
    return {"error": {"pointer": fault.pointer, "detail": fault.detail}}


def _written(answer: dict[str, Any]) -> str:
    # ASCII, so that no terminal or pipe can stumble over a letter; NaN would raise, by design.
    return json.dumps(answer, allow_nan=False)


def _decoded(raw: bytes) -> object:
    """Decode JSON strictly: no NaN or Infinity, no key twice; every failure becomes an `InputFault`."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputFault("", "The input is not UTF-8 text.") from None
    if not text.strip():
        raise InputFault("", "There is no input: give one JSON object on standard input.")
    try:
        return json.loads(text, parse_constant=_no_constant, object_pairs_hook=_no_double, parse_int=_whole)
    except json.JSONDecodeError as error:
        detail = f"The input is not JSON: {error.msg} at line {error.lineno}, column {error.colno}."
        raise InputFault("", detail) from None
    except RecursionError:
        raise InputFault("", "The input is nested too deeply.") from None


def _no_constant(word: str) -> NoReturn:
    raise InputFault("", f"{word} is not JSON; leave the value out or use null.")


def _no_double(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise InputFault("", f'The key "{key[:40]}" stands twice in one object; keep one of them.')
        found[key] = value
    return found


def _whole(digits: str) -> int | float:
    # Python refuses to read whole numbers of thousands of digits; as a float they are merely out of range.
    return int(digits) if len(digits) < 400 else float(digits)
