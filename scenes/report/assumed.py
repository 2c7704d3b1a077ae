"""What a scene's file says and what was taken as usual, in words: a report tells them apart."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel

from scenes.report.plain_words import is_of_use, plain_name, plain_value
from scenes.scene import Scene
from scenes.tables import SceneTable
from scenes.template import full_text
from scenes.units_keys import bare_key
from scenes.units_text import in_units, spoken

SHOWN: Final = ("roof", "stack", "apron", "sides", "gutter", "debris", "underlay")
NAMES: Final = {
    "roof": "Roof", "stack": "Stack", "apron": "Front apron", "sides": "Side flashings",
    "gutter": "Behind the stack", "debris": "In the back gutter", "underlay": "Underlay",
    "": "Sheet",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measure:
    """One value of a scene. group: the piece that it belongs to; words: the key's own, and what it is;
    plain: what it is called in a list; value: with its unit; given: whether the scene's file says it, or the
    usual value was taken."""

    group: str
    words: str
    plain: str
    value: str
    given: bool

    @property
    def in_full(self) -> str:
        """What it is, as long as it takes: `cover, down over the covering`, `past the stack, each end`."""
        name, _, meaning = self.words.partition(": ")
        if not meaning or self.plain != name:
            return self.plain
        return meaning if meaning.startswith(name) else f"{name}, {meaning}"


def measures_of(scene: Scene) -> tuple[Measure, ...]:
    """Every measure of a scene that its file says or that does something there, in the order of the file;
    none for parts from files alone."""
    detail = scene.detail
    if detail is None:
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
    return tuple(made for table, key, made in rows if made.given or is_of_use(detail, table, key))


def _measure(
    table: str, model: type[BaseModel], key: str, value: Any, given: set[str]
) -> tuple[str, str, Measure]:
    words = _words(bare_key(key).replace("_", " "), model.model_fields[key].description or "")
    return table, key, Measure(
        group=NAMES[table],
        words=in_units(words, spoken()),
        plain=plain_name(table, key),
        value=in_units(plain_value(table, key, value), spoken()),
        given=key in given,
    )  # fmt: skip


def _words(name: str, remark: str) -> str:
    """A key and its remark, without the choices that the remark lists."""
    meaning = remark.split(";")[0]
    if meaning.count('"') == 2 and not meaning.startswith('"'):
        meaning = meaning.replace('"', "")
    meaning = meaning.split('"')[0].rstrip(" :,(")
    return f"{name}: {meaning}" if meaning and not meaning.startswith(("true", "false")) else name


def _model(table: str) -> type[BaseModel]:
    kinds = getattr(SceneTable.model_fields[table].annotation, "__args__", ())
    found: type[BaseModel] = next(kind for kind in kinds if kind is not type(None))
    return found
