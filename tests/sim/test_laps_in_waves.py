"""Laps of sheets that lie in waves, with a welt in waves: as long as on a plain roof."""

from __future__ import annotations

from math import cos, radians, sin, tan

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from scenes.assemble import assemble
from scenes.faults.apply import with_faults
from scenes.scene import load
from sim.laps import Lap, measure_laps
from sim.laps_borders import edge_kinds, pieces
from sim.laps_ways import in_waves
from sim.surface import Surface
from tests.sim.wavy import profiled, wave

GAP, NOSE, PITCH, TOP, WELT = 0.001, 0.002, radians(30), 1.6, 0.025
"""Lengths [m]: bedding gap, the courses' noses, y of the gutter's upper edge, what of it is turned back."""


def wavy(kind: str, name: str, role: Role, line: list[tuple[float, float]]) -> Part:
    """A sheet 1.2 m wide over the waves of a roof, through a section of (y, upright lift) [m]."""
    xs = np.arange(-0.6, 0.6 + 1e-9, 0.025)
    points = [(x, y, y * tan(PITCH) + float(wave(kind, x)) + up) for y, up in line for x in xs]
    faces, n = [], len(xs)
    for row in range(len(line) - 1):
        for k in range(n - 1):
            a = row * n + k
            faces += [(a, a + 1, a + n + 1), (a, a + n + 1, a + n)]
    return Part(name, role, np.array(points), np.array(faces))


def hemmed(kind: str) -> Part:
    """What lies behind a stack: a sheet up the slope, its upper edge turned back over it."""
    low = NOSE + GAP
    back = TOP - WELT * cos(PITCH)
    line = [(0.6, low), (TOP, low), (TOP, low + GAP), (back, low + GAP)]
    return wavy(kind, "gutter", Role.FLASHING, line)


def measured(kind: str, edge: float) -> tuple[Lap, ...]:
    """The laps of underlay that comes down to y = `edge` over the sheet behind a stack."""
    cloth = wavy(kind, "cloth", Role.UNDERLAY, [(edge, NOSE + 3 * GAP), (2.0, NOSE + 3 * GAP)])
    roof = profiled(kind, 30, nose=NOSE)
    return measure_laps(Surface.of(Assembly((hemmed(kind), cloth, roof))))


@pytest.mark.parametrize("kind", ["pointed", "flat"])
@pytest.mark.parametrize("lap", [0.12, 0.16, 0.3])
def test_underlay_over_a_welt_in_waves(kind: str, lap: float) -> None:
    """Exact: from the underlay's edge to the welt's fold along the rafters, and its rise, as on a plain roof;
    150 mm are asked of it at 30 degrees (`rulebook`)."""
    (found,) = [
        one
        for one in measured(kind, TOP - lap * cos(PITCH))
        if (one.upper, one.lower) == ("cloth", "gutter")
    ]
    assert found.length == pytest.approx(lap, abs=GAP)
    assert found.rise == pytest.approx(lap * sin(PITCH), abs=GAP)
    assert found.width == pytest.approx(1.2, abs=0.04)
    assert found.needed == 0.150
    assert found.ok == (lap >= 0.15)


@pytest.mark.parametrize("kind", ["pointed", "flat"])
def test_a_hem_in_waves_is_an_edge_and_a_wide_strip_is_none(kind: str) -> None:
    """Exact: the fold of the welt counts as the sheet's edge all along; a sheet that comes back 30 mm over
    itself encloses room and has none."""
    surface = Surface.of(Assembly((hemmed(kind),)))
    free = edge_kinds(surface).free
    top = (free.middle + surface.centre)[:, 1] > TOP - 1e-6
    top &= np.abs(free.end - free.start)[:, 0] > 0.01
    assert free.doubled[top].all()
    assert np.ptp(free.start[top, 0]) == pytest.approx(1.2, abs=0.03)
    low = NOSE + GAP
    line = [(0.6, low), (TOP, low), (TOP, low + 0.03), (TOP - 0.1, low + 0.03)]
    wide = Surface.of(Assembly((wavy(kind, "gutter", Role.FLASHING, line),)))
    assert not edge_kinds(wide).free.doubled.any()


def test_what_is_in_waves() -> None:
    """Derived: an edge over a profiled roof is, one over plain courses isn't, however they tilt."""
    surface = Surface.of(Assembly((hemmed("flat"),)))
    cut, _ = pieces(edge_kinds(surface).free)
    across = np.abs(cut.inward[:, 1]) > 0.5
    assert in_waves(cut)[across].all()
    assert not in_waves(cut)[~across].any()


@pytest.mark.parametrize(
    ("fault", "short"),
    [
        ("", set()),
        ("gutter leg too short", {"upper underlay", "covering"}),
        ("underlay lap too short", {"upper underlay"}),
        ("no welt", set()),
    ],
)
def test_profiled_tiles_over_the_back_gutter(fault: str, short: set[str]) -> None:
    """Derived from the scene's own measures: as it should be, what lies over the gutter's leg laps it by what
    the rules ask; 80 mm less of the leg, or 60 mm less of the underlay, is told of."""
    scene = load("profiled")
    laps = measure_laps(Surface.of(assemble(with_faults(scene, [fault]) if fault else scene)))
    behind = {lap.upper: lap for lap in laps if lap.lower == "back gutter"}
    assert behind.keys() == {"upper underlay", "covering"}
    assert all(lap.where == "back" for lap in behind.values())
    assert {name for name, lap in behind.items() if not lap.ok} == short
    assert len([lap for lap in laps if lap.lower == "back gutter"]) == 2


def test_a_cover_that_steps_over_noses_in_waves_is_one_lap() -> None:
    """By construction: each side's cover runs on in one edge from before the stack's front to where the
    gutter's end laps it, over a nose on the way; so does the gutter's end beyond it, over another."""
    laps = measure_laps(Surface.of(assemble(load("profiled"))))
    for upper in ("left side flashing", "right side flashing"):
        (one,) = (lap for lap in laps if (lap.upper, lap.lower) == (upper, "covering"))
        assert one.edge[:, 1].min() < 0
        assert one.edge[:, 1].max() > 0.3
        assert np.diff(one.edge, axis=0)[:, 2].max() > 0.02  # at the nose, plumb
    ends = [lap.where for lap in laps if (lap.upper, lap.lower) == ("back gutter", "covering")]
    assert sorted(ends) == ["left", "right"]
