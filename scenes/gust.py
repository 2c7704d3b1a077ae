"""The first-leak gust of a scene: the search, told in plain values for the table and the picture."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError
from meshes.parts import Assembly
from scenes.assemble import assemble
from scenes.cautions import CAUTIONS
from scenes.progress import Remarks
from scenes.scene import Scene, Weather

if TYPE_CHECKING:
    from sim.gust import FirstLeak
    from sim.laps import Lap
    from sim.site import Site

FILM_DROPS = 4000
"""Drops of still rain that tell how thick the films are that the wind meets."""
AGREE = 0.03
"""Share by which the traced gust and that of the measured laps may differ and still agree."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gusts:
    """The gusts of a scene: what `gust.json` holds, and the searches behind it."""

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
    from sim.blown import MOST_GUST
    from sim.wind import direction_name, sixteen

    remarks = remarks or Remarks()
    with remarks.step("Building the scene and finding its gaps"):
        assembly = assemble(scene)
        site = site_of(scene, assembly)
        laps = laps_of(assembly)
    rows, leaks = [], []
    angles = sixteen()
    search = searched(site, scene.weather, angles, seed=seed, threads=threads)
    for number, leak in enumerate(search, start=1):
        leaks.append(leak)
        rows.append(_row(site, laps, leak, scene.weather.pressure))
        stands = f"{leak.gust:.1f} m/s" if np.isfinite(leak.gust) else f"over {MOST_GUST:g} m/s"
        remarks.say(
            f"{number} of {len(angles)} directions: {direction_name(leak.from_angle)}: {stands}"
        )
    weak = [row for row in rows if row["gust_m_s"] is not None]
    found = {
        "title": scene.title,
        "rain_mm_h": scene.table.weather.rain_mm_h,
        "up_to_m_s": MOST_GUST,
        "directions": rows,
        "lowest": min(weak, key=lambda row: float(row["gust_m_s"])) if weak else None,
        "inputs": [],
        "hours": None,
        "cautions": list(CAUTIONS),
    }
    return Gusts(found=found, leaks=tuple(leaks))


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
        site, angles, film, drag=weather.drag, pressure=weather.pressure, threads=threads
    )


def _row(site: Site, laps: tuple[Lap, ...], leak: FirstLeak, pressure: float) -> dict[str, Any]:
    from sim.wind import direction_name, ladder_step, stagnation_pressure

    finite = bool(np.isfinite(leak.gust))
    force = stagnation_pressure(leak.gust) if finite else None
    weakest = _weakest(site, laps, leak, pressure)
    agrees, remark = _agreement(leak, weakest)
    return {
        "from_deg": round(float(np.degrees(leak.from_angle)), 3),
        "from": direction_name(leak.from_angle),
        "gust_m_s": round(leak.gust, 2) if finite else None,
        "pressure_pa": None if force is None else round(force, 1),
        "en_12208_pa": None if force is None else ladder_step(force),
        "path": _path(leak),
        "lap": None if weakest is None else _lap(*weakest),
        "agrees": agrees,
        "remark": remark,
        "covering_gust_m_s": round(leak.covering, 1) if np.isfinite(leak.covering) else None,
    }


def _path(leak: FirstLeak) -> dict[str, Any] | None:
    from sim.leaks import leak_of_path

    if leak.path is None or leak.fate is None or leak.charts is None:
        return None
    told = leak_of_path(leak.charts, leak.path, leak.fate)
    return {
        "way_in": told.way_in,
        "cause": told.cause.value,
        "parts": list(told.parts),
        "point_mm": [round(value * 1000, 1) + 0.0 for value in told.point.tolist()],
    }


def _lap(lap: Lap, gust: float) -> dict[str, Any]:
    return {
        "id": lap.id,
        "upper": lap.upper,
        "lower": lap.lower,
        "where": lap.where,
        "gust_m_s": round(gust, 2),
    }


def _weakest(
    site: Site, laps: tuple[Lap, ...], leak: FirstLeak, pressure: float
) -> tuple[Lap, float] | None:
    """The measured lap that passes water first in wind from the leak's direction, and its gust."""
    from sim.lap_coefficients import lap_coefficient
    from sim.lap_gust import lap_gust

    stands = [
        (lap, lap_gust(lap, pressure * lap_coefficient(site.ground, site.gaps, leak.border, lap)))
        for lap in laps
    ]
    weak = [pair for pair in stands if np.isfinite(pair[1])]
    return min(weak, key=lambda pair: pair[1]) if weak else None


def _agreement(leak: FirstLeak, weakest: tuple[Lap, float] | None) -> tuple[bool | None, str]:
    """Whether the traced gust and that of the laps agree, and what to say where they don't."""
    if not np.isfinite(leak.gust):
        if weakest is None:
            return None, ""
        return False, f"lap {weakest[0].id} passes water, but that comes out again below"
    if weakest is None:
        return False, "no measured lap explains this path"
    lap, gust = weakest
    if abs(leak.gust - gust) <= AGREE * gust:
        return True, ""
    if gust < leak.gust:
        return (
            False,
            f"lap {lap.id} passes water from {gust:.1f} m/s, but that comes out again below",
        )
    return False, "no measured lap explains this path"
