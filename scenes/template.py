"""Writing a scene file with every key in it, each with a remark that says what it is."""

from __future__ import annotations

from math import degrees
from os.path import relpath
from pathlib import Path
from textwrap import wrap
from typing import Any

from pydantic import BaseModel

from meshes.spec import Detail
from scenes.measures import PIECES, PLAIN_KEYS, WORDS_FOR_NONE, keys_of, si_name
from scenes.plans import keys_beside
from scenes.scene import Scene
from scenes.tables import PartTable, SceneTable, WeatherTable

TABLE_REMARKS = {
    "roof": "One slope, or two that meet in a ridge: rafters, underlay, battens, covering.",
    "stack": "Upright, convex in plan. Each face takes its piece by the way it looks on the slope.",
    "apron": "The front apron.",
    "sides": "The two side flashings.",
    "gutter": "Behind the stack: the back gutter, or a saddle in its place.",
    "debris": "What lies in the back gutter and blocks water: leaves, or snow.",
    "underlay": "The second line of defence, under the covering.",
    "weather": "Rain over the whole roof.",
}
HEAD = """\
# A scene for stackrain: lengths in mm, angles in degrees, rain in mm/h.
# Needed are roof.pitch_deg and the stack's plan: width_mm and depth_mm, or another plan with its own
# keys in their place. Where another key is left out, its usual value is taken.
"""
PART_HINT = """\
# Parts from mesh files are added by tables like this one (its # taken away):
# [[part]]
# name = "saddle"
# file = "saddle.stl"     # {file}
# role = "flashing"       # covering, flashing, stack, underlay, inside or debris
# unit = "mm"             # mm, cm, m or in
"""
REMARK_COLUMN, REMARK_WIDTH = 32, 76


def full_text(scene: Scene, folder: Path) -> str:
    """The scene as the text of a file with every key written out; read back, it is the same scene.

    folder: where the file will stand; part files are named from there.
    """
    table = scene.table
    lines = [HEAD]
    lines += _key(SceneTable, "title", table.title)
    lines += _key(SceneTable, "note", table.note)
    if scene.detail is not None:
        lines += _detail_lines(scene.detail, table)
    lines += _table("weather", WeatherTable, table.weather.model_dump())
    for row, part in zip(table.part, scene.parts, strict=True):
        kept = Path(row.file).is_absolute()
        file = row.file if kept else Path(relpath(part.path, folder)).as_posix()
        lines += ["", "[[part]]"]
        for key, value in (row.model_dump() | {"file": file}).items():
            lines += _key(PartTable, key, value)
    hint = PART_HINT.format(file=PartTable.model_fields["file"].description)
    return "\n".join([*lines, "", hint])


def _detail_lines(detail: Detail, table: SceneTable) -> list[str]:
    lines: list[str] = []
    for key, name in PLAIN_KEYS.items():
        lines += _key(SceneTable, key, _at_edge(key, getattr(detail, name)))
    for name in (*PIECES, "underlay"):
        said = getattr(table, name)
        values = said.model_dump(exclude_unset=True) if said else {}
        holder = detail.roof if name == "underlay" else getattr(detail, name)
        prefix = "underlay_" if name == "underlay" else ""
        idle = keys_beside(detail.stack.plan) if name == "stack" else ()
        keys = [key for key in keys_of(name) if key not in idle]
        for key in keys:
            built = getattr(holder, prefix + si_name(key))
            values.setdefault(key, _at_edge(key, built))
        model = type(said) if said else _model(name)
        lines += _table(name, model, {key: values[key] for key in keys})
    return lines


def _model(table: str) -> type[BaseModel]:
    kinds = getattr(SceneTable.model_fields[table].annotation, "__args__", ())
    return next(kind for kind in kinds if kind is not type(None))


def _at_edge(key: str, value: Any) -> Any:
    """The builder's value [m, rad] as a file holds it [mm, degrees]; "auto" or "none" for None.

    Rounded to 1e-9 of a mm or degree, so that 0.012 m is written 12 and not 12.000000000000002.
    """
    if value is None:
        return WORDS_FOR_NONE.get(key, "auto")
    if isinstance(value, tuple):
        return [_at_edge(key, item) for item in value]
    if key.endswith("_mm"):
        return round(value * 1000, 9)
    return round(degrees(value), 9) if key.endswith("_deg") else value


def _table(name: str, model: type[BaseModel], values: dict[str, Any]) -> list[str]:
    lines = ["", f"# {TABLE_REMARKS[name]}", f"[{name}]"]
    for key, value in values.items():
        lines += _key(model, key, value)
    return lines


def _key(model: type[BaseModel], key: str, value: Any) -> list[str]:
    rows = value if isinstance(value, list) and value and isinstance(value[0], list) else []
    said = f"{key} = {'[' if rows else toml_value(value)}  "
    remark = wrap(model.model_fields[key].description or "", REMARK_WIDTH)
    lines = [f"{said:<{REMARK_COLUMN}}# {remark[0]}"]
    lines += [f"{'':<{REMARK_COLUMN}}# {more}" for more in remark[1:]]
    return lines + [f"    {toml_value(row)}," for row in rows] + ["]"] * bool(rows)


def toml_value(value: Any) -> str:
    """A text, number, truth value or flat list as TOML."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{"".join(_escaped(letter) for letter in value)}"'
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(item) for item in value)}]"
    if isinstance(value, int):
        return str(value)
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


def _escaped(letter: str) -> str:
    if letter in '"\\':
        return "\\" + letter
    return f"\\u{ord(letter):04x}" if ord(letter) < 0x20 or ord(letter) == 0x7F else letter
