"""From a scene's tables to the builder's `Detail`, with the key to blame when it can't be built."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from math import radians
from typing import Any

from meshes.coverings import USUAL
from meshes.errors import SceneError
from meshes.spec import Apron, BackGutter, Debris, Detail, Roof, Sides, Stack
from scenes.places import Loc, at
from scenes.plans import fault_of_plan
from scenes.tables import SceneTable
from scenes.tables_pieces import Table

PIECES: dict[str, type] = {
    "roof": Roof,
    "stack": Stack,
    "apron": Apron,
    "sides": Sides,
    "gutter": BackGutter,
    "debris": Debris,
}
"""The builder's dataclass for each table of measurements."""
PLAIN_KEYS = {
    "joint": "joint",
    "facing": "facing",
    "material": "material",
    "cover_fit": "cover_fit",
    "order": "order",
    "bedding_gap_mm": "gap",
}
"""Keys outside any table, and what the builder's `Detail` calls them."""
TABLES_OF_DETAIL = (*PIECES, "underlay", *PLAIN_KEYS)
SOUND = {
    "pitch": radians(40),
    "width": 0.6,
    "depth": 0.4,
    "points": ((0.0, 0.0), (0.6, 0.0), (0.6, 0.4), (0.0, 0.4)),
}
"""Values [rad, m] for keys without a default while the key to blame is looked for."""
SOUND_PLAN = {"width": SOUND["width"], "depth": SOUND["depth"]}
BLAMED_LAST = (*SOUND, "plan")
WORDS_FOR_NONE = {"ridge_mm": "none"}
"""What a file calls the builder's None, where it isn't "auto"."""

Values = dict[str, Any]


def detail_of(table: SceneTable, file: str, lines: Mapping[Loc, int]) -> Detail | None:
    """What the builder is told, or None for a scene of parts from files alone.

    Raises SceneError: the builder's own line, after the place of the key to blame.
    """
    if table.roof is None or table.stack is None:
        lone = next((key for key in TABLES_OF_DETAIL if key in table.model_fields_set), None)
        if lone is None and table.part:
            return None
        needed = {
            "roof": "[roof] with pitch_deg",
            "stack": "[stack] with width_mm and depth_mm (or another plan)",
        }
        lacking = " and ".join(told for key, told in needed.items() if not getattr(table, key))
        if lone is None:
            raise SceneError(f"{file}: a scene needs {lacking}, or [[part]] tables. Got neither")
        raise SceneError(f"{at(file, lines, (lone,))}: needs {lacking} beside it")
    if fault := fault_of_plan(table.stack):
        raise SceneError(f"{at(file, lines, ('stack', *fault[0]))}: {fault[1]}")
    pieces, plain = _given(table)
    for name, kind in PIECES.items():
        if complaint := _complaint(kind, pieces[name]):
            loc = _as_in_file((name, _culprit(kind, pieces[name], complaint)))
            raise SceneError(f"{at(file, lines, loc)}: {complaint}")
    try:
        return _built(pieces, plain)
    except SceneError as error:
        place = at(file, lines, key_to_blame(table, str(error)))
        raise SceneError(f"{place}: {error}") from error


def key_to_blame(
    table: SceneTable, complaint: str, build: Callable[[Detail], object] | None = None
) -> Loc:
    """The key of a scene whose return to its default takes the complaint away.

    build: what complains of the `Detail`; None when making the detail itself does. Gives an empty
    place when no key does it alone. Keys that the complaint is about are suspected first, those that
    it names in more words before others, and keys without a default last.
    """
    about = complaint.partition(" must be ")[0].split()
    pieces, plain = _given(table)
    suspects: list[Loc] = [(key,) for key in plain]
    suspects += [(name, key) for name in reversed(PIECES) for key in pieces[name]]
    words = {loc: set(str(loc[-1]).split("_")) for loc in suspects}
    suspects.sort(key=lambda loc: -len(words[loc]) if words[loc] <= set(about) else 0)
    for suspect in sorted(suspects, key=lambda loc: loc[-1] in BLAMED_LAST):
        *holder, key = (str(step) for step in suspect)
        less = {name: _without(v, key) if name in holder else v for name, v in pieces.items()}
        try:
            detail = _built(less, plain if holder else _without(plain, key))
            if build:
                build(detail)
        except SceneError as error:
            if str(error) == complaint:
                continue
        return _as_in_file(suspect)
    return ()


def _given(table: SceneTable) -> tuple[dict[str, Values], Values]:
    """What a scene gives, in the builder's names: values of each piece, and of the detail."""
    pieces = {name: in_si(getattr(table, name)) for name in PIECES}
    pieces["roof"] |= {f"underlay_{key}": value for key, value in in_si(table.underlay).items()}
    return pieces, _plain(table)


def _built(pieces: Mapping[str, Values], plain: Values) -> Detail:
    return Detail(**{name: _piece(kind, pieces[name]) for name, kind in PIECES.items()}, **plain)


def _piece(kind: type, values: Mapping[str, Any]) -> Any:
    """One of the builder's dataclasses; a covering's trade name brings what the file leaves out."""
    if kind is Roof and values.get("covering") in USUAL:
        usual = USUAL[values["covering"]]
        return Roof(**{**usual.figures(), **values, "covering": usual.covering})
    return kind(**values)


def in_si(table: Table | None) -> Values:
    """The keys that a table gives, as the builder takes them: metres, radians, None for "auto"."""
    values = table.model_dump(exclude_unset=True) if table else {}
    return {si_name(key): _si_value(key, value) for key, value in values.items()}


def si_name(key: str) -> str:
    """A key without its unit: "cover_mm" -> "cover"."""
    return key.removesuffix("_mm").removesuffix("_deg")


def _si_value(key: str, value: Any) -> Any:
    if value == WORDS_FOR_NONE.get(key, "auto"):
        return None
    if isinstance(value, list):
        return tuple(_si_value(key, item) for item in value)
    if key.endswith("_mm"):
        return value / 1000
    return radians(value) if key.endswith("_deg") else value


def _plain(table: SceneTable) -> Values:
    got = {key: getattr(table, key) for key in PLAIN_KEYS if key in table.model_fields_set}
    return {PLAIN_KEYS[key]: _si_value(key, value) for key, value in got.items()}


def _complaint(kind: type, values: Mapping[str, Any]) -> str:
    """What the builder's dataclass says against the values, "" when nothing."""
    try:
        _piece(kind, values)
    except SceneError as error:
        return str(error)
    return ""


def _culprit(kind: type, values: Mapping[str, Any], complaint: str) -> str:
    """The key that alone brings the complaint, else the one without which it goes away."""
    taken = {field.name for field in fields(kind)}
    sound = {key: value for key, value in SOUND.items() if key in taken}
    sound |= {key: values[key] for key in ("plan", "covering") if key in values}
    for key, value in values.items():
        if _complaint(kind, sound | {key: value}) == complaint:
            return key
    suspects = sorted(values, key=lambda key: key in BLAMED_LAST)
    return next(key for key in suspects if _complaint(kind, _without(values, key)) != complaint)


def _without(values: Mapping[str, Any], key: str) -> Values:
    """The values with one key back at its default, or at a sound value where it has none."""
    rest = {name: value for name, value in values.items() if name != key}
    if key == "plan":
        return SOUND_PLAN | rest
    return rest | ({key: SOUND[key]} if key in SOUND else {})


def _as_in_file(loc: Loc) -> Loc:
    """A place in the builder's names (roof, underlay_front) as a file's (underlay, front_mm)."""
    if len(loc) < 2:
        return tuple(key for key, name in PLAIN_KEYS.items() if loc == (name,))
    table, name = str(loc[0]), str(loc[1])
    if table == "roof" and name.startswith("underlay_"):
        table, name = "underlay", name.removeprefix("underlay_")
    return table, next(key for key in keys_of(table) if si_name(key) == name)


def keys_of(table: str) -> tuple[str, ...]:
    """The keys that a scene file's table may hold, in the order in which they are written out."""
    kinds = getattr(SceneTable.model_fields[table].annotation, "__args__", ())
    model = next(kind for kind in kinds if kind is not type(None))
    return tuple(model.model_fields)
