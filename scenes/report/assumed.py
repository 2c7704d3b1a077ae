"""What a scene's file says and what was taken as usual, in words: a report tells them apart."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel

from scenes.scene import Scene
from scenes.tables import SceneTable
from scenes.template import full_text
from scenes.units_keys import bare_key, value_words
from scenes.units_text import in_units, spoken

SHOWN: Final = ("roof", "stack", "apron", "sides", "gutter", "debris", "underlay")
NAMES: Final = {
    "roof": "Roof", "stack": "Stack", "apron": "Front apron", "sides": "Side flashings",
    "gutter": "Behind the stack", "debris": "In the back gutter", "underlay": "Underlay",
    "": "Sheet",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measure:
    """One value of a scene. group: the piece that it belongs to; words: what it is; value: with its unit;
    given: whether the scene's file says it, or the usual value was taken."""

    group: str
    words: str
    value: str
    given: bool


def measures_of(scene: Scene) -> tuple[Measure, ...]:
    """Every measure of a scene, in the order of its file; none for parts from files alone."""
    if scene.detail is None:
        return ()
    data = tomllib.loads(full_text(scene, Path()))
    rows = []
    for name, value in data.items():
        if name in SHOWN and isinstance(value, dict):
            table = getattr(scene.table, name)
            given = table.model_fields_set if table is not None else set()
            model = _model(name)
            rows += [_measure(name, model, key, one, given) for key, one in value.items()]
        elif name in SceneTable.model_fields and name not in ("title", "note", "weather", "part"):
            rows.append(_measure("", SceneTable, name, value, scene.table.model_fields_set))
    return tuple(rows)


def _measure(table: str, model: type[BaseModel], key: str, value: Any, given: set[str]) -> Measure:
    if isinstance(value, bool):
        told = "yes" if value else "no"
    elif isinstance(value, list):
        told = ", ".join(value_words(key, one) for one in value)
    else:
        told = value_words(key, value)
    words = _words(bare_key(key).replace("_", " "), model.model_fields[key].description or "")
    return Measure(NAMES[table], in_units(words, spoken()), told, key in given)


def _words(name: str, remark: str) -> str:
    """A key and its remark, without the choices that the remark lists."""
    meaning = remark.split(";")[0].split('"')[0].rstrip(" :,(")
    return f"{name}: {meaning}" if meaning and not meaning.startswith(("true", "false")) else name


def _model(table: str) -> type[BaseModel]:
    kinds = getattr(SceneTable.model_fields[table].annotation, "__args__", ())
    found: type[BaseModel] = next(kind for kind in kinds if kind is not type(None))
    return found
