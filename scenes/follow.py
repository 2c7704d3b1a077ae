"""Rain on a built scene, followed in the scene's own weather: still air, a push, or a wind."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from typing import TYPE_CHECKING

from meshes.parts import Assembly
from scenes.progress import Remarks
from scenes.scene import Weather

if TYPE_CHECKING:
    from sim.charts import Charts
    from sim.findings import Findings
    from sim.lap_water import LapsKnown
    from sim.rain import Drops
    from sim.site import Site
    from sim.trace import Trace


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """Drops and where they went. rounds: of tracing until the films in a wind settled, 0 in still
    air; settled: whether they did."""

    charts: Charts
    drops: Drops
    trace: Trace
    findings: Findings
    rounds: int
    settled: bool


class Sites:
    """The last site made for a wind, for who asks again and again: in another wind the same parts have
    the same one."""

    def __init__(self) -> None:
        self._of: bytes = b""
        self._site: Site | None = None

    def has(self, assembly: Assembly) -> bool:
        """Whether the site of these parts is at hand."""
        return self._site is not None and self._of == _fingerprint(assembly)

    def of(self, assembly: Assembly) -> Site:
        """The site of these parts."""
        from sim.site import Site

        if self._site is None or not self.has(assembly):
            self._site, self._of = Site.of(assembly), _fingerprint(assembly)
        return self._site


def _fingerprint(assembly: Assembly) -> bytes:
    """Another one for other parts, places or roles."""
    total = sha256()
    for part in assembly:
        total.update(f"{part.name}\n{part.role}\n{part.faces.shape}\n".encode())
        total.update(part.vertices.tobytes())
        total.update(part.faces.tobytes())
    return total.digest()


def follow(
    assembly: Assembly,
    weather: Weather,
    *,
    drops: int,
    seed: int,
    threads: int | None,
    remarks: Remarks,
    sites: Sites | None = None,
) -> Followed:
    """Let drops fall on an assembly, follow them, and find what there is to tell; sites: where the last
    wind's site is kept, None to keep none. Raises SceneError."""
    if weather.gust > 0:
        return _in_wind(assembly, weather, drops, seed, threads, remarks, sites or Sites())
    from sim.charts import Charts
    from sim.findings import find
    from sim.ground import GRAVITY, Ground
    from sim.lap_water import LapsKnown
    from sim.ponds import Ponds
    from sim.rain import rain
    from sim.spills import Spills
    from sim.threads import meanwhile
    from sim.trace import trace

    with remarks.step("Charting the surfaces"):
        ground = Ground.of(assembly, weather.drive)
        laps = meanwhile(partial(LapsKnown.on, ground.surface, ground.caster), threads)
        bare = Charts.on(ground)
        # Under a push there is no level that water could stand at.
        ponds = Ponds.of(bare) if weather.drive == GRAVITY else None
        charts = bare if ponds is None else bare.going_on(Spills(ponds))
    with remarks.step(f"Letting {drops:,} drops fall and following them"):
        fallen = rain(
            charts, drops, seed=seed, rain_m_s=weather.rain, slant=weather.slant,
            from_angle=weather.from_angle,
        )  # fmt: skip
        ends = trace(charts, fallen, threads=threads)
    with remarks.step("Measuring laps and looking for leaks"):
        findings = find(charts, fallen, ends, ponds=ponds, laps=laps)
    return Followed(charts, fallen, ends, findings, 0, True)


def _in_wind(
    assembly: Assembly,
    weather: Weather,
    drops: int,
    seed: int,
    threads: int | None,
    remarks: Remarks,
    sites: Sites,
) -> Followed:
    from sim.blown import Wind
    from sim.findings import find
    from sim.rain import rain
    from sim.storm import weather_the
    from sim.threads import meanwhile

    with remarks.step("Charting the surfaces and the gaps between them"):
        site = sites.of(assembly)
    with remarks.step(f"Letting {drops:,} drops fall in the wind and following them"):
        wind = Wind(weather.gust, weather.from_angle, weather.drag, weather.pressure)
        fallen = rain(
            site.still, drops, seed=seed, rain_m_s=weather.rain, from_angle=weather.from_angle,
            wind_m_s=weather.gust,
        )  # fmt: skip
        laps = meanwhile(partial(_laps_of, assembly), threads)
        storm = weather_the(site, fallen, wind, threads=threads)
    with remarks.step("Measuring laps and looking for leaks"):
        findings = find(storm.charts, fallen, storm.trace, ponds=site.ponds, laps=laps)
    return Followed(storm.charts, fallen, storm.trace, findings, storm.rounds, storm.settled)


def _laps_of(assembly: Assembly) -> LapsKnown:
    """The laps of an assembly as it was built: the surface that wind is worked out on has smaller faces."""
    from sim.cast import Caster
    from sim.contacts import join_contacts
    from sim.lap_water import LapsKnown
    from sim.surface import Surface

    surface = join_contacts(Surface.of(assembly))
    return LapsKnown.on(surface, Caster.of(surface))
