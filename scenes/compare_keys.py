"""Which keys of two scenes differ, usual values included."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from scenes.scene import Scene
from scenes.template import full_text, toml_value

UNTOLD = ("title", "note", "weather", "part")
"""Keys that are no measure of the detail; parts from files are told of by themselves."""
ABSENT = "-"
"""What stands for a key that one of the scenes does not take."""


def changed_keys(first: Scene, second: Scene) -> list[dict[str, str]]:
    """Each key with another value in the second scene: `key`, `first` and `second`, as a file has
    them. A file of parts alone has no keys but its parts."""
    one, two = _flat(first), _flat(second)
    keys = [*one, *(key for key in two if key not in one)]
    return [
        {"key": key, "first": one.get(key, ABSENT), "second": two.get(key, ABSENT)}
        for key in keys
        if one.get(key) != two.get(key)
    ]


def _flat(scene: Scene) -> dict[str, str]:
    table = tomllib.loads(full_text(scene, Path.cwd()))
    values: dict[str, str] = {}
    for key, value in table.items():
        if isinstance(value, dict) and key not in UNTOLD:
            values |= {f"[{key}] {inner}": _said(found) for inner, found in value.items()}
        elif key not in UNTOLD:
            values[key] = _said(value)
    for row in table.get("part", []):
        name = row.pop("name")
        values |= {f"[[part]] {name}: {key}": _said(found) for key, found in row.items()}
    return values


def _said(value: Any) -> str:
    """A value as a person would read it: lists without brackets, words without quotes."""
    if isinstance(value, list) and not any(isinstance(one, list) for one in value):
        return ", ".join(_said(one) for one in value)
    return value if isinstance(value, str) else toml_value(value)
