"""What the first-leak gust hangs on: each input at both ends of its range, the others as usual."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite
from typing import Any, Final

from meshes.errors import SceneError
from scenes.assemble import assemble
from scenes.gust import Gusts, searched, site_of
from scenes.progress import Remarks
from scenes.scene import Scene

TRIES: Final = 4
"""How often a value that can't be built gives way, each time by half, before the usual one stands."""


@dataclass(frozen=True, slots=True)
class Input:
    """An input whose value is not well known. key: of `Weather`, or "gap"; per_unit: SI in one of the
    unit that it is told in; source: what the range rests on."""

    key: str
    name: str
    unit: str
    per_unit: float
    low: float
    high: float
    source: str


INPUTS: Final = (
    Input(
        "pressure", "pressure on open edges, over rho U^2 / 2", "", 1.0, 0.7, 1.0,
        "windward walls in wind codes to brought to rest (memory)",
    ),
    Input(
        "drag", "drag of wind on a film", "", 1.0, 0.003, 0.01, "from memory, unsure",
    ),
    Input(
        "gap", "bedding gap between sheets", "mm", 1e-3, 0.5e-3, 2e-3,
        "common practice, no source: dressed tight to just laid",
    ),
    Input(
        "rain", "rain, which says how thick films are", "mm/h", 1 / 3.6e6, 5 / 3.6e6, 150 / 3.6e6,
        "the weather cases driving and cloudburst",
    ),
)  # fmt: skip


def with_inputs(
    scene: Scene, gusts: Gusts, *, seed: int, threads: int | None, remarks: Remarks
) -> dict[str, Any]:
    """What `gust.json` holds, with the table of inputs: the gust of the weakest direction with one
    input at a time at the low and at the high end of its range.

    An input that the scene has no value for (the gap, of parts from files alone) is left out, and all
    are where no gust lets water in.
    """
    if gusts.lowest is None:
        return gusts.found
    angle = gusts.lowest.from_angle
    rows = []
    for one in INPUTS:
        usual = _value(scene, one)
        if usual is None:
            continue
        with remarks.step(f"Trying the range of the {one.name}"):
            low, low_gust = _at_end(scene, one, one.low, usual, angle, seed, threads)
            high, high_gust = _at_end(scene, one, one.high, usual, angle, seed, threads)
        rows.append(
            {
                "input": one.name, "unit": one.unit, "source": one.source,
                "low": _told(one, low), "usual": _told(one, usual), "high": _told(one, high),
                "gust_low_m_s": low_gust, "gust_usual_m_s": round(gusts.lowest.gust, 2),
                "gust_high_m_s": high_gust,
            }
        )  # fmt: skip
    return gusts.found | {"inputs": rows}


def _at_end(
    scene: Scene, one: Input, end: float, usual: float, angle: float, seed: int, threads: int | None
) -> tuple[float, float | None]:
    """The value tried at one end of an input's range, and the gust [m/s] there, None for none.

    A value that this detail can't be built with gives way to one nearer to the usual.
    """
    value = end
    for _ in range(TRIES):
        try:
            return value, _gust(_changed(scene, one, value), angle, seed, threads)
        except SceneError:
            value = (value + usual) / 2
    return usual, _gust(scene, angle, seed, threads)


def _gust(scene: Scene, angle: float, seed: int, threads: int | None) -> float | None:
    site = site_of(scene, assemble(scene))
    (leak,) = searched(site, scene.weather, [angle], seed=seed, threads=threads)
    return round(leak.gust, 2) if isfinite(leak.gust) else None


def _value(scene: Scene, one: Input) -> float | None:
    if one.key == "gap":
        return None if scene.detail is None else scene.detail.gap
    return float(getattr(scene.weather, one.key))


def _changed(scene: Scene, one: Input, value: float) -> Scene:
    if one.key == "gap" and scene.detail is not None:
        return replace(scene, detail=replace(scene.detail, gap=value))
    changes: dict[str, Any] = {one.key: value}
    return replace(scene, weather=replace(scene.weather, **changes))


def _told(one: Input, value: float) -> float:
    return float(f"{value / one.per_unit:.6g}")
