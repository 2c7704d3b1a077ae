"""A cure in the keys of a scene file: what changes, and the scene with it."""

from __future__ import annotations

from dataclasses import replace
from math import degrees
from typing import Any

from meshes.spec import Detail
from scenes.measures import PIECES, PLAIN_KEYS, WORDS_FOR_NONE, detail_of, keys_of, si_name
from scenes.scene import Scene
from scenes.tables import SceneTable

TABLES = (*PIECES, "underlay")
DECIMALS = 6  # of a millimetre or a degree


def changed_keys(was: Detail, now: Detail) -> dict[tuple[str, ...], tuple[Any, Any]]:
    """The keys of a scene file, (table, key) or (key,), in which two details differ, each with its value
    before and after as a file has it."""
    found: dict[tuple[str, ...], tuple[Any, Any]] = {}
    for key, name in PLAIN_KEYS.items():
        values = [_at_edge(key, getattr(detail, name)) for detail in (was, now)]
        if values[0] != values[1]:
            found[(key,)] = (values[0], values[1])
    for table in TABLES:
        for key in keys_of(table):
            values = [_at_edge(key, _of(detail, table, key)) for detail in (was, now)]
            if values[0] != values[1]:
                found[table, key] = (values[0], values[1])
    return found


def unit_of(key: str) -> str | None:
    """The unit of a key: "mm", "degrees", or None for a word or a number without one."""
    return "mm" if key.endswith("_mm") else "degrees" if key.endswith("_deg") else None


def with_detail(scene: Scene, detail: Detail) -> Scene:
    """The scene with another detail, in its tables too, so that it can be written as a file.

    Its faults are taken away: those of measures all round are in the detail.
    """
    assert scene.detail is not None
    updates: dict[str, Any] = {}
    for place, (_, value) in changed_keys(scene.detail, detail).items():
        if len(place) == 1:
            updates[place[0]] = value
            continue
        name, key = place
        one = updates.get(name) or getattr(scene.table, name) or _empty(name)
        updates[name] = one.model_copy(update={key: value})
    table = SceneTable.model_validate(
        scene.table.model_copy(update=updates).model_dump(exclude_unset=True)
    )
    return replace(scene, table=table, detail=detail_of(table, scene.file, scene.lines), faults=())


def _of(detail: Detail, table: str, key: str) -> Any:
    if table == "underlay":
        return getattr(detail.roof, f"underlay_{si_name(key)}")
    return getattr(getattr(detail, table), si_name(key))


def _empty(table: str) -> Any:
    kinds = getattr(SceneTable.model_fields[table].annotation, "__args__", ())
    return next(kind for kind in kinds if kind is not type(None)).model_construct()


def _at_edge(key: str, value: Any) -> Any:
    """A builder's value [m, rad] as a file holds it [mm, degrees]; its word for None."""
    if value is None:
        return WORDS_FOR_NONE.get(key, "auto")
    if isinstance(value, tuple):
        return [_at_edge(key, item) for item in value]
    if key.endswith("_mm"):
        return round(value * 1000, DECIMALS)
    return round(degrees(value), DECIMALS) if key.endswith("_deg") else value
