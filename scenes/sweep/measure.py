"""What can be measured in every case: the columns of each measure, and how one case is measured."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from scenes.scene import Scene

MeasureName = Literal["leak", "first-leak-gust", "cut-area"]
Figures = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """Of the table. name: its unit at the end; kind: of its values, none where there is nothing to tell;
    unit: "1" for shares and counts, "" for words; told: what it holds."""

    name: str
    kind: Literal["float", "int", "text", "bool"]
    unit: str
    told: str


def _share(name: str, told: str) -> Column:
    return Column(name=name, kind="float", unit="1", told=told)


def _count(name: str, told: str) -> Column:
    return Column(name=name, kind="int", unit="1", told=told)


def _flow(name: str, told: str) -> Column:
    return Column(name=name, kind="float", unit="ml/min", told=told)


def _text(name: str, told: str) -> Column:
    return Column(name=name, kind="text", unit="", told=told)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """Something to measure. columns: the first is what the map shows; work: from a scene, drops and seed to
    a figure for each of them; drops: that it uses, from those asked for, None where none fall; title: what
    the map shows, in words."""

    columns: tuple[Column, ...]
    work: Callable[[Scene, int, int], Figures]
    drops: Callable[[int], int | None]
    title: str


def _leak(scene: Scene, drops: int, seed: int) -> Figures:
    """Run as `stackrain run` does, on one core."""
    import numpy as np

    from scenes.progress import Remarks
    from scenes.run import run
    from sim.fates import Fate
    from sim.findings_rows import ML_MIN, figure
    from sim.shares import Whole

    result = run(scene, drops=drops, seed=seed, threads=1, remarks=Remarks(quiet=True))
    found, whole = result.findings, Whole.of(result.drops.flow)
    behind = np.isin(result.trace.fate, (Fate.UNDERLAY, Fate.INSIDE))
    share, error = whole.share(behind)
    inside, inside_error = whole.share(result.trace.fate == Fate.INSIDE)
    first = found.leaks[0] if found.leaks else None
    return {
        "behind_share": figure(share),
        "behind_share_se": figure(error),
        "behind_ml_min": figure(share * found.flow * ML_MIN),
        "inside_share": figure(inside),
        "inside_share_se": figure(inside_error),
        "landed_ml_min": figure(found.flow * ML_MIN),
        "leaks": len(found.leaks),
        "short_laps": sum(not lap.ok for lap in found.laps),
        "unresolved_drops": found.unresolved,
        "way_in": first.way_in if first else None,
        "cause": first.cause.value if first else None,
    }


def _gust(scene: Scene, drops: int, seed: int) -> Figures:
    """Searched as `stackrain gust` does, on one core."""
    from scenes.gust import gusts_of
    from scenes.progress import Remarks

    gusts = gusts_of(scene, seed=seed, threads=1, remarks=Remarks(quiet=True))
    lowest = gusts.found["lowest"] or {}
    path = lowest.get("path") or {}
    return {
        "first_leak_gust_m_s": lowest.get("gust_m_s"),
        "first_leak_from_deg": lowest.get("from_deg"),
        "pressure_pa": lowest.get("pressure_pa"),
        "tried_up_to_m_s": float(gusts.found["up_to_m_s"]),
        "way_in": path.get("way_in"),
        "cause": path.get("cause"),
    }


def _area(scene: Scene, drops: int, seed: int) -> Figures:
    """Added up as `stackrain cut` does."""
    from scenes.cutting.cut_list import cut_list

    cut = cut_list(scene)
    return {
        "area_m2": round(cut.area, 6),
        "mass_kg": round(cut.area * cut.material.mass, 3),
        "blanks": sum(one.count for one in cut.patterns),
        "material": cut.material.name,
    }


def _still_drops(drops: int) -> int:
    from scenes.gust import FILM_DROPS

    return FILM_DROPS


_WAY = _text("way_in", "where the most of it gets in; the way that decides, of a gust")
_CAUSE = _text("cause", "why")
MEASURES: Final[Mapping[MeasureName, Measure]] = {
    "leak": Measure(
        columns=(
            _share("behind_share", "of the rain that lands, what gets behind the flashings"),
            _share("behind_share_se", "its standard error"),
            _flow("behind_ml_min", "the same as a flow"),
            _share("inside_share", "what gets past the underlay too"),
            _share("inside_share_se", "its standard error"),
            _flow("landed_ml_min", "rain that lands"),
            _count("leaks", "places where water gets behind"),
            _count("short_laps", "laps shorter than is asked of them"),
            _count("unresolved_drops", "drops that were not followed to an end"),
            _WAY,
            _CAUSE,
        ),
        work=_leak,
        drops=lambda drops: drops,
        title="Share of the rain that gets behind the flashings",
    ),
    "first-leak-gust": Measure(
        columns=(
            Column(
                name="first_leak_gust_m_s", kind="float", unit="m/s",
                told="lowest gust that drives water behind; none where none that was tried does",
            ),
            Column(
                name="first_leak_from_deg", kind="float", unit="degrees",
                told="where its wind comes from: 0 the eaves, 90 the right",
            ),
            Column(name="pressure_pa", kind="float", unit="Pa", told="of that gust"),
            Column(
                name="tried_up_to_m_s", kind="float", unit="m/s", told="greatest gust that was tried"
            ),
            _WAY,
            _CAUSE,
        ),
        work=_gust,
        drops=_still_drops,
        title="The lowest gust at the roof that drives water behind the flashings",
    ),
    "cut-area": Measure(
        columns=(
            Column(name="area_m2", kind="float", unit="m2", told="sheet metal of all blanks"),
            Column(name="mass_kg", kind="float", unit="kg", told="of all blanks"),
            _count("blanks", "pieces of sheet metal to cut"),
            _text("material", "of the flashings"),
        ),
        work=_area,
        drops=lambda drops: None,
        title="Sheet metal in the blanks of all flashings",
    ),
}  # fmt: skip
