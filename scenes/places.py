"""Where in a scene file a key stands, and what was wrong with it, in one line."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

Loc = tuple[str | int, ...]

HEADER = re.compile(r"\s*+(\[\[?)([\w.\s\"'-]++)\]\]?\s*+(?:#.*)?$")
KEY = re.compile(r"\s*+([\w.\s\"'-]++)=")
"""Nothing in them may match in two ways: a long line of blanks would be tried in all of them."""
NO_VALUE = re.compile(r"\"{3}.*?\"{3}|'{3}.*?'{3}|\"(?:\\.|[^\"\\])*\"|'[^']*'|#.*")
"""Texts and remarks, whose brackets are no lists."""
LONGEST_SHOWN = 60

RULES = {
    "float_type": "a number",
    "int_type": "a whole number",
    "bool_type": "true or false",
    "string_type": "a text in quotes",
    "list_type": "a list in square brackets",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "dict_type": "a table",
    "finite_number": "a finite number",
    "string_too_short": "at least {min_length} character long",
    "string_too_long": "at most {max_length} characters long",
    "string_pattern_mismatch": "one line of plain text without control characters",
    "greater_than": "more than {gt:g}",
    "greater_than_equal": "{ge:g} or more",
    "less_than_equal": "{le:g} or less",
    "too_short": "a list of at least {min_length}",
    "too_long": "a list of at most {max_length}",
    "literal_error": "{expected}",
}


def key_lines(text: str) -> dict[Loc, int]:
    """Line number of each table header, key and list in a list of a TOML text that parses.

    Places are paths: ("roof", "pitch_deg"), ("part", 0, "file"), ("stack", "points_mm", 2). Inside
    multi-line strings nothing is looked for. Lines serve the messages only, so an exotic layout costs
    a line number, no more.
    """
    found: dict[Loc, int] = {}
    counts: dict[str, int] = {}
    table: Loc = ()
    path: Loc = ()
    inside = ""
    depth = row = 0
    for number, line in enumerate(text.splitlines(), start=1):
        if inside:
            if line.count(inside) % 2:
                inside = ""
            continue
        value = line if depth else ""
        if not depth and (header := HEADER.match(line)):
            name = _bare(header[2].strip())
            table = name
            if header[1] == "[[" and len(name) == 1:
                count = counts.get(str(name[0]), 0)
                counts[str(name[0])] = count + 1
                table = (*name, count)
            found.setdefault(table, number)
            found.setdefault(name, number)
            continue
        if not depth and (key := KEY.match(line)):
            path = (*table, *_bare(key[1].strip()))
            found.setdefault(path, number)
            for steps in range(len(table) + 1, len(path)):
                found.setdefault(path[:steps], number)
            value, row = line[key.end() :], 0
        inside = next((mark for mark in ('"""', "'''") if line.count(mark) % 2), "")
        for bracket in "" if inside else re.findall(r"[\[\]]", NO_VALUE.sub("", value)):
            depth += 1 if bracket == "[" else -1
            if bracket == "[" and depth == 2:
                found.setdefault((*path, row), number)
                row += 1
    return found


def at(file: str, lines: Mapping[Loc, int], loc: Loc) -> str:
    """The beginning of a message: `a.toml, line 7, roof.pitch_deg`, the line where it is known."""
    known = next((lines[loc[:n]] for n in range(len(loc), 0, -1) if loc[:n] in lines), None)
    line = f", line {known}" if known else ""
    key = "".join(_step(step) for step in loc).removeprefix(".")
    return f"{file}{line}" + (f", {key}" if key else "")


def first_fault(
    error: ValidationError, data: Mapping[str, Any], model: type[BaseModel]
) -> tuple[Loc, str]:
    """Place and one-line wording of the first fault that pydantic found.

    Faults at one place (a key that may be a number or a word) are put together with "or".
    """
    faults = error.errors(include_url=False)
    # A misspelt key is both unknown and missing under its right name: the former says more.
    faults.sort(key=lambda fault: fault["type"] == "missing")
    loc = _within_data(faults[0]["loc"], data)
    here = [fault for fault in faults if _within_data(fault["loc"], data) == loc]
    others = len({_within_data(fault["loc"], data) for fault in faults}) - 1
    more = f" (and {others} more to mend)" if others else ""
    return loc, _wording(here, loc, model) + more


def shown(value: object) -> str:
    """A value as a message shows it: one line, cut when long."""
    text = repr(value) if not isinstance(value, bool) else str(value).lower()
    text = text.replace("'", '"') if isinstance(value, str) else text
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."


def _step(step: str | int) -> str:
    """A step of a key's path, rows counted from 1; a key of odd letters or great length in quotes."""
    if isinstance(step, int):
        return f"[{step + 1}]"
    plain = step.isprintable() and 0 < len(step) <= LONGEST_SHOWN
    return f".{step if plain else shown(step)}"


def _bare(name: str) -> Loc:
    return tuple(step.strip().strip("\"'") for step in name.split("."))


def _within_data(loc: Loc, data: Any) -> Loc:
    """The part of pydantic's place that names keys: without its marks for the branch of a union."""
    steps: list[str | int] = []
    for step in loc:
        if isinstance(data, Mapping) and isinstance(step, str):
            steps.append(step)
            data = data.get(step)
        elif isinstance(data, Sequence) and not isinstance(data, str) and isinstance(step, int):
            steps.append(step)
            data = data[step] if step < len(data) else None
        else:
            break
    return tuple(steps)


def _wording(faults: Sequence[ErrorDetails], loc: Loc, model: type[BaseModel]) -> str:
    kind = faults[0]["type"]
    if kind == "missing":
        return "is missing, and has no default"
    if kind == "extra_forbidden":
        return f"is not a key that is known here.{_suggestion(loc, model)}"
    rules = [
        RULES[fault["type"]].format(**fault.get("ctx", {}))
        if fault["type"] in RULES
        else fault["msg"].lower()
        for fault in faults
    ]
    rule = " or ".join(dict.fromkeys(rules)).replace("'", '"')
    got = faults[0]["input"]
    if loc == ("part",) and isinstance(got, Mapping):
        return "must be written [[part]], with two brackets on each side. Got [part]"
    told = f"{len(got)} of them" if kind == "too_long" else shown(got)
    return f"must be {rule}. Got {told}"


def _suggestion(loc: Loc, model: type[BaseModel]) -> str:
    tables = {name: _table_of(model, name) for name in model.model_fields}
    table = tables.get(str(loc[0])) if len(loc) > 1 else model
    own = list(table.model_fields) if table else []
    wrong = str(loc[-1])
    owners = [name for name, other in tables.items() if other and wrong in other.model_fields]
    if owners:
        return f" It belongs to {' or '.join(f'[{name}]' for name in owners)}"
    if close := get_close_matches(wrong, own, n=1, cutoff=0.5):
        return f" Did you mean {close[0]}?"
    return f" The keys are: {', '.join(own)}"


def _table_of(model: type[BaseModel], name: str) -> type[BaseModel] | None:
    """The model behind a table's key (`X`, `X | None` or `list[X]`), None for a plain key."""
    wanted = model.model_fields[name].annotation
    candidates = (wanted, *getattr(wanted, "__args__", ()))
    for kind in candidates:
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            return kind
    return None
