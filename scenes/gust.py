"""The first-leak gust of a scene: the search, told in plain values for the table and the picture."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError
from meshes.parts import Assembly
from scenes.assemble import assemble
from scenes.cautions import cautions_of
from scenes.progress import Remarks
from scenes.scene import Scene, Weather
from sim.wind_inputs import MOST_GUST

if TYPE_CHECKING:
    from sim.gust import FirstLeak
    from sim.laps import Lap
    from sim.leaks import Leak
    from sim.site import Site

FILM_DROPS = 4000
"""Drops of still rain that tell how thick the films are that the wind meets."""
AGREE = 0.03
"""Share by which the traced gust and that of the measured laps may differ and still agree."""


@dataclass(frozen=True, slots=True, eq=False)
class _LapGust:
    """The gust [m/s] that a measured lap stands by itself, where water comes in `inside` [m] past its
    open edge."""

    lap: Lap
    gust: float
    inside: float

    def row(self) -> dict[str, Any]:
        """What `gust.json` says of it."""
        return {
            "id": self.lap.id,
            "upper": self.lap.upper,
            "lower": self.lap.lower,
            "where": self.lap.where,
            "gust_m_s": round(self.gust, 2),
            "inside_mm": round(self.inside * 1000, 1),
        }


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gusts:
    """The gusts of a scene: what `gust.json` holds, and what it was searched on."""

    assembly: Assembly
    found: dict[str, Any]
    leaks: tuple[FirstLeak, ...]

    @property
    def lowest(self) -> FirstLeak | None:
        """The search of the weakest direction; None when none lets water in."""
        least = min(self.leaks, key=lambda leak: leak.gust)
        return least if np.isfinite(least.gust) else None


def gusts_of(
    scene: Scene, *, seed: int, threads: int | None = None, remarks: Remarks | None = None
) -> Gusts:
    """Search the first-leak gust from all 16 directions. Raises SceneError for what can't be built.

    seed: of the still rain, which only says how thick the films are.
    """
    from sim.wind import direction_name, sixteen

    remarks = remarks or Remarks()
    with remarks.step("Building the scene and finding its gaps"):
        assembly = assemble(scene)
        site = site_of(scene, assembly)
        laps = laps_of(assembly)
    leaks = []
    angles = sixteen()
    search = searched(site, scene.weather, angles, seed=seed, threads=threads)
    for number, leak in enumerate(search, start=1):
        leaks.append(leak)
        stands = f"{leak.gust:.1f} m/s" if np.isfinite(leak.gust) else f"over {MOST_GUST:g} m/s"
        remarks.say(
            f"{number} of {len(angles)} directions: {direction_name(leak.from_angle)}: {stands}"
        )
    told = _told(leaks)
    rows = [
        _row(site, laps, leak, scene.weather.pressure, told.get(number))
        for number, leak in enumerate(leaks)
    ]
    weak = [row for row in rows if row["gust_m_s"] is not None]
    found = {
        "title": scene.title,
        "rain_mm_h": scene.table.weather.rain_mm_h,
        "up_to_m_s": MOST_GUST,
        "directions": rows,
        "lowest": min(weak, key=lambda row: float(row["gust_m_s"])) if weak else None,
        "inputs": [],
        "hours": None,
        "cautions": list(cautions_of(scene.detail)),
    }
    return Gusts(assembly=assembly, found=found, leaks=tuple(leaks))


def site_of(scene: Scene, assembly: Assembly) -> Site:
    """The site of a scene's assembly; a SceneError begins with the scene's file."""
    from sim.site import Site

    try:
        return Site.of(assembly)
    except SceneError as error:
        raise SceneError(f"{scene.file}: {error}") from error


def laps_of(assembly: Assembly) -> tuple[Lap, ...]:
    """The laps of an assembly, measured as `run` measures them."""
    from sim.cast import Caster
    from sim.contacts import join_contacts
    from sim.laps import measure_laps
    from sim.surface import Surface

    surface = join_contacts(Surface.of(assembly))
    return measure_laps(surface, Caster.of(surface))


def searched(
    site: Site,
    weather: Weather,
    angles: Sequence[float] | NDArray[np.float64],
    *,
    seed: int,
    threads: int | None = None,
) -> Iterator[FirstLeak]:
    """The first leaks from these directions [rad], with the films of the weather's rain in still
    air and its drag and pressure."""
    from sim.gust import first_leaks
    from sim.rain import rain
    from sim.storm import still_film

    drops = rain(site.still, FILM_DROPS, seed=seed, rain_m_s=weather.rain)
    film = still_film(site, drops, threads=threads)
    yield from first_leaks(
        site, angles, film, still_rain=drops, drag=weather.drag, pressure=weather.pressure,
        threads=threads,
    )  # fmt: skip


def _row(
    site: Site, laps: tuple[Lap, ...], leak: FirstLeak, pressure: float, told: Leak | None
) -> dict[str, Any]:
    from sim.wind import direction_name, ladder_step, stagnation_pressure

    finite = bool(np.isfinite(leak.gust))
    force = stagnation_pressure(leak.gust) if finite else None
    through = sheets_passed(site, leak)
    lap = _nearest(site, laps, leak, pressure, through)
    agrees, remark = _agreement(leak, lap, through)
    return {
        "from_deg": round(float(np.degrees(leak.from_angle)), 3),
        "from": direction_name(leak.from_angle),
        "gust_m_s": round(leak.gust, 2) if finite else None,
        "pressure_pa": None if force is None else round(force, 1),
        "en_12208_pa": None if force is None else ladder_step(force),
        "path": None if told is None or leak.path is None else _path(told, leak.path.points),
        "lap": None if lap is None else lap.row(),
        "agrees": agrees,
        "remark": remark,
        "covering_gust_m_s": round(leak.covering, 1) if np.isfinite(leak.covering) else None,
    }


def _told(leaks: Sequence[FirstLeak]) -> dict[int, Leak]:
    """The leaks that the paths which decide make, by the numbers of their directions."""
    from sim.leaks import leaks_of_paths
    from sim.trace import Paths

    some = [
        (number, leak.path, leak.fate, leak.charts)
        for number, leak in enumerate(leaks)
        if leak.path is not None and leak.fate is not None and leak.charts is not None
    ]
    if not some:
        return {}
    numbers, paths, fates, charts = zip(*some, strict=True)
    return dict(zip(numbers, leaks_of_paths(charts, Paths.joined(paths), fates), strict=True))


def _path(told: Leak, points: NDArray[np.float64]) -> dict[str, Any]:
    return {
        "way_in": told.way_in,
        "cause": told.cause.value,
        "parts": list(told.parts),
        "point_mm": _millimetres(told.point),
        "points_mm": [_millimetres(point) for point in points],
    }


def _millimetres(point: NDArray[np.float64]) -> list[float]:
    return [round(value * 1000, 1) + 0.0 for value in point.tolist()]


def sheets_passed(site: Site, leak: FirstLeak) -> dict[tuple[str, str], NDArray[np.float64]]:
    """Sheets between which the path that decides runs, upper and lower, in their order, each pair
    once, and where it first comes between them (3,) [m]."""
    if leak.path is None:
        return {}
    from meshes.parts import Role

    surface, gaps = site.still.surface, site.gaps
    lies = gaps.faced[leak.path.chart] >= 0
    chart, points = leak.path.chart[lies], leak.path.points[lies]
    names, roles = surface.part_names, surface.part_roles
    found: dict[tuple[str, str], NDArray[np.float64]] = {}
    pairs = zip(gaps.across[chart].tolist(), site.still.part[chart].tolist(), points, strict=True)
    for upper, lower, point in pairs:
        if Role.FLASHING in (roles[upper], roles[lower]):
            found.setdefault((names[upper], names[lower]), point)
    return found


def _nearest(
    site: Site,
    laps: tuple[Lap, ...],
    leak: FirstLeak,
    pressure: float,
    through: dict[tuple[str, str], NDArray[np.float64]],
) -> _LapGust | None:
    """Of the measured laps on the path that decides, the one whose own gust comes nearest."""
    from sim.lap_gust import gust_at
    from sim.lap_in_wind import pressure_in_wind

    known = []
    for lap in laps:
        entry = through.get((lap.upper, lap.lower))
        if entry is not None and leak.gust > 0:
            border = pressure * leak.border
            force, inside = pressure_in_wind(site.ground, site.gaps, border, lap, entry)
            if np.isfinite(force):
                known.append(_LapGust(lap, gust_at(force), inside))
    return min(known, key=lambda one: abs(one.gust - leak.gust), default=None)


def _agreement(
    leak: FirstLeak, lap: _LapGust | None, through: Collection[tuple[str, str]]
) -> tuple[bool | None, str]:
    """Whether the traced gust and that of a lap on its path agree, and what to say where not."""
    if not 0 < leak.gust < np.inf:
        return None, ""
    if lap is not None and abs(leak.gust - lap.gust) <= AGREE * lap.gust:
        return True, ""
    if not through:
        return False, "no lap explains this path: it runs under no flashing"
    way = ", then under the ".join(dict.fromkeys(upper for upper, _ in through))
    return False, f"no lap alone explains this path: it goes under the {way}"
