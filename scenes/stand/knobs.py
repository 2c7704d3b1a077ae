"""All that can be changed in a scene at the live stand: measures, laps, order, weather and faults."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any, Final, NamedTuple

from meshes.errors import SceneError
from meshes.spec import USUAL_ORDER, Detail
from scenes.faults.catalogue import CATALOGUE
from scenes.faults.fault import Asked, Fault
from scenes.faults.usual import has_back, lap_of, leg_of, underlay_lap_of
from scenes.scene import Scene
from scenes.stand.knob import Knob, Place

WRONG: Final = "Wrong on purpose"
NOWHERE, EVERYWHERE = "", "everywhere"
"""Of a fault with a side: it is not there; it is wherever it can be."""
ORDER: Final[Place] = ("order",)


class Row(NamedTuple):
    """A slider: words, group, the key of the scene's file, ends, step, unit, and what "auto" is made to."""

    label: str
    group: str
    place: Place
    low: float
    high: float
    step: float
    unit: str
    made: Callable[[Detail], float] | None = None


def _mm(
    label: str, group: str, key: str, low: float, high: float,
    made: Callable[[Detail], float] | None = None,
) -> Row:  # fmt: skip
    return Row(label, group, tuple(key.split(".")), low, high, 5.0, "mm", made)


def _other(
    label: str, group: str, key: str, low: float, high: float, step: float, unit: str
) -> Row:
    return Row(label, group, tuple(key.split(".")), low, high, step, unit)


SLIDERS: Final = (
    _other("pitch", "Roof", "roof.pitch_deg", 12.5, 60, 0.5, "degrees"),
    _mm("stack width", "Stack", "stack.width_mm", 300, 1800),
    _mm("stack depth", "Stack", "stack.depth_mm", 250, 1200),
    _other("stack turned", "Stack", "stack.turn_deg", -45, 45, 1, "degrees"),
    _mm("front upstand", "Front apron", "apron.upstand_mm", 30, 250),
    _mm("front cover", "Front apron", "apron.cover_mm", 30, 300),
    _mm("apron past the stack", "Front apron", "apron.overhang_mm", 0, 150),
    _mm("front turn-in", "Front apron", "apron.turn_in_mm", 0, 35),
    _mm("side upstand", "Sides", "sides.upstand_mm", 20, 200),
    _mm("side cover", "Sides", "sides.cover_mm", 30, 300),
    _mm("return round the corners", "Sides", "sides.corner_return_mm", 0, 80),
    _mm("side turn-in", "Sides", "sides.turn_in_mm", 0, 35),
    _mm("soaker width", "Sides", "sides.soaker_width_mm", 50, 200),
    _mm("soaker upturn", "Sides", "sides.soaker_upturn_mm", 40, 150),
    _mm("back upstand", "Behind the stack", "gutter.upstand_mm", 30, 250),
    _mm("gutter sole", "Behind the stack", "gutter.sole_mm", 50, 400),
    _other("fall of the sole", "Behind the stack", "gutter.sole_fall_deg", 0.5, 10, 0.5, "degrees"),
    _mm("leg up the slope", "Behind the stack", "gutter.leg_mm", -50, 400, leg_of),
    _mm("welt", "Behind the stack", "gutter.welt_mm", 0, 50),
    _mm("gutter over the sides", "Laps", "gutter.lap_mm", 30, 400, lap_of),
    _mm("step over step", "Laps", "sides.step_lap_mm", 20, 120),
    _mm("cover flashing in front", "Laps", "apron.flashing_lap_mm", 20, 150),
    _mm("cover flashing behind", "Laps", "gutter.flashing_lap_mm", 20, 150),
    _mm("underlay over the gutter", "Laps", "underlay.lap_mm", 20, 300, underlay_lap_of),
    _other("gap between sheets that lap", "Laps", "bedding_gap_mm", 0.5, 3, 0.1, "mm"),
    _other("rain", "Weather", "weather.rain_mm_h", 10, 300, 5, "mm/h"),
    _other("gust", "Weather", "weather.gust_m_s", 0, 40, 1, "m/s"),
    _other("wind from", "Weather", "weather.from_deg", -180, 180, 15, "degrees"),
)
"""Ends are what is seen on roofs, common practice, no source; the builder refuses what can't be made."""

CHOICES: Final = (
    ("corners", "Front apron", ("joint",), ("return", "fin", "slit and patch", "bossed")),
    ("corner folds face", "Front apron", ("facing",), ("down-slope", "up-slope")),
    ("side flashings", "Sides", ("sides", "way"), ("cover", "soakers", "stepped cover")),
    ("behind the stack", "Behind the stack", ("gutter", "behind"), ("gutter", "saddle", "by rule")),
    ("leaves in the gutter", "Behind the stack", ("debris", "leaves"),
     ("none", "left", "right", "both")),
)  # fmt: skip

PIECES: Final = {
    "apron": "apron", "left": "left side", "right": "right side", "gutter": "back gutter",
    "underlay": "underlay",
}  # fmt: skip


def knobs_of(scene: Scene, data: dict[str, Any]) -> tuple[Knob, ...]:
    """Everything that can be changed in a scene; data: every key of its file. Raises SceneError for a
    scene of parts from files, which has no measures."""
    if scene.detail is None:
        raise SceneError(f"{scene.file}: is made of parts from files alone: nothing to change")
    rows: list[Knob | None] = [_slider(row, scene.detail, data) for row in SLIDERS]
    rows += [_choice(row, data) for row in CHOICES]
    rows.append(_order(data))
    asked = {one.fault.name: one for one in scene.faults}
    details = _variants(scene.detail)
    for fault in CATALOGUE:
        rows += _fault(fault, details, asked.get(fault.name))
    return tuple(row for row in rows if row is not None)


def at_place(data: dict[str, Any], place: Place) -> Any:
    """The value of a key of the scene's file, None where it has no such key."""
    held: Any = data
    for step in place:
        held = held.get(step) if isinstance(held, dict) else None
    return held


def fault_key(fault: Fault) -> str:
    """The knob that says whether, or where, a fault is."""
    return f"fault {fault.name}"


def amount_key(fault: Fault) -> str:
    """The knob that says how much it is."""
    return f"{fault_key(fault)}, how much"


def _slider(row: Row, detail: Detail, data: dict[str, Any]) -> Knob | None:
    value = at_place(data, row.place)
    if value == "auto" and row.made is not None and has_back(detail):
        try:
            value = round(row.made(detail) * 1000 / row.step) * row.step
        except SceneError:
            return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return Knob(
        key=row.label, label=row.label, group=row.group, kind="slider", place=row.place,
        value=float(value), low=float(min(row.low, value)), high=float(max(row.high, value)),
        step=row.step, unit=row.unit,
    )  # fmt: skip


def _choice(row: tuple[str, str, Place, tuple[str, ...]], data: dict[str, Any]) -> Knob | None:
    label, group, place, choices = row
    value = at_place(data, place)
    if value not in choices:
        return None
    return Knob(
        key=label, label=label, group=group, kind="choice", place=place, value=value,
        choices=tuple((name, name) for name in choices),
    )  # fmt: skip


def _order(data: dict[str, Any]) -> Knob:
    """The order as it is, the usual one, and those in which two neighbours have changed places."""
    now = tuple(data["order"])
    tried: list[tuple[str, ...]] = [now, USUAL_ORDER]
    for k in range(len(USUAL_ORDER) - 1):
        one, two = USUAL_ORDER[k : k + 2]
        tried.append((*USUAL_ORDER[:k], two, one, *USUAL_ORDER[k + 2 :]))
    choices = tuple(
        (", ".join(order), ", ".join(PIECES[piece] for piece in order))
        for order in dict.fromkeys(tried)
    )
    return Knob(
        key="order", label="dressing order, first to last", group="Laps", kind="choice",
        place=ORDER, value=", ".join(now), choices=choices,
    )  # fmt: skip


def _variants(detail: Detail) -> list[Detail]:
    """The detail, and what one of the choices more makes of it: what each has room for can be asked for."""
    made = [detail]
    for _, _, place, choices in CHOICES:
        for choice in choices:
            *holder, key = place
            change: dict[str, Any] = {key: choice}
            with suppress(SceneError):
                if holder:
                    change = {holder[0]: replace(getattr(detail, holder[0]), **change)}
                made.append(replace(detail, **change))
    return made


def _fault(fault: Fault, details: Sequence[Detail], asked: Asked | None) -> list[Knob]:
    """A fault that one of the details has room for: where it is, and how much."""
    if not fault.places:
        if all(_lacks(fault, detail, "") for detail in details):
            return []
        head = Knob(
            key=fault_key(fault), label=fault.name, group=WRONG, kind="switch",
            value=asked is not None,
        )  # fmt: skip
    else:
        places = [
            place
            for place in fault.places
            if not all(_lacks(fault, detail, place) for detail in details)
        ]
        if not places:
            return []
        names = [(NOWHERE, "no"), *((place, place) for place in places)]
        if len(places) > 1:
            names.append((EVERYWHERE, "everywhere"))
        value = NOWHERE if asked is None else asked.place or EVERYWHERE
        head = Knob(
            key=fault_key(fault), label=fault.name, group=WRONG, kind="choice", value=value,
            choices=tuple(names),
        )  # fmt: skip
    if not fault.unit:
        return [head]
    amount = Knob(
        key=amount_key(fault), label=f"{fault.name}, how much", group=WRONG, kind="slider",
        value=fault.usual if asked is None else asked.amount, low=fault.least, high=fault.most,
        step=1.0 if fault.unit == "mm" else 0.5, unit=fault.unit,
    )  # fmt: skip
    return [head, amount]


def _lacks(fault: Fault, detail: Detail, place: str) -> bool:
    try:
        return bool(fault.lacks(detail, place))
    except SceneError:
        return True
