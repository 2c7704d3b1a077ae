"""Laps of plain sheets, known exactly, and of the standard detail."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest

from meshes.parts import Assembly, Role
from sim import laps_table, leaks_table
from sim.laps import measure_laps
from sim.slope import Slopes
from sim.surface import Surface
from tests.sim.sheets_for_laps import along, mirrored, moved, on_slope, split
from tests.sim.wavy import profiled

GAP = 0.001


def measured(*parts):
    return measure_laps(Surface.of(Assembly(parts)))


def two_sheets(pitch, lap, *, gap=GAP, width=0.6):
    """A sheet whose top edge lies `lap` under the sheet above it, on one slope."""
    lower = along(on_slope(pitch, 0.0, 0.4), -width / 2, width / 2, name="lower")
    top = on_slope(pitch, 0.4 - lap, 1.0, gap)
    return lower, along(top, -width / 2, width / 2, name="upper")


@pytest.mark.parametrize("degrees_up", [12, 20, 30, 45, 60])
@pytest.mark.parametrize("lap", [0.09, 0.15, 0.3])
def test_two_sheets_lap_by_what_they_overlap(degrees_up, lap):
    """Derived: sheets one gap apart on one slope overlap by `lap`; it rises by lap times the sine.

    The sheets are straight below each other, not square: that costs gap times tan(pitch).
    """
    pitch = radians(degrees_up)
    (found,) = measured(*two_sheets(pitch, lap))
    expected = lap + GAP * np.tan(pitch)
    assert (found.upper, found.lower) == ("upper", "lower")
    assert found.length == pytest.approx(expected, abs=1e-9)
    assert found.rise == pytest.approx(expected * sin(pitch), abs=1e-9)
    assert found.width == pytest.approx(0.6, abs=1e-9)
    needed = max(0.15, 0.075 / sin(pitch))
    assert found.needed == pytest.approx(needed, rel=1e-9)
    assert found.ok == (expected >= needed - 0.001)
    assert found.missing == pytest.approx(0.0 if found.ok else needed - expected, abs=1e-9)


def test_edge_and_way_are_where_the_lap_is():
    """Derived: the open edge is the upper sheet's lower edge, end to end; the way ends on the lower
    sheet's top edge."""
    pitch = radians(30)
    (found,) = measured(*two_sheets(pitch, 0.15))
    (y0, z0), _ = on_slope(pitch, 0.25, 1.0, GAP)
    assert found.edge == pytest.approx(np.array([[-0.3, y0, z0], [0.3, y0, z0]]), abs=1e-9)
    assert found.way[1, 1:] == pytest.approx(on_slope(pitch, 0.0, 0.4)[1], abs=1e-9)
    assert found.way[0, 1] == pytest.approx(y0, abs=1e-9)


@pytest.mark.parametrize("change", ["turned", "far away", "split", "mirrored"])
def test_a_lap_is_the_same_however_the_sheets_are_placed_and_cut(change):
    """Derived: length, rise and width hang on no axis, place or triangle."""
    parts = two_sheets(radians(25), 0.12)
    changed = {
        "turned": lambda part: moved(part, turn=radians(37)),
        "far away": lambda part: moved(part, shift=(1000.0, -1000.0, 500.0)),
        "split": split,
        "mirrored": mirrored,
    }[change]
    (before,), (after,) = measured(*parts), measured(*(changed(part) for part in parts))
    for key in ("length", "rise", "width", "needed"):
        assert getattr(after, key) == pytest.approx(getattr(before, key), abs=1e-8)


@pytest.mark.parametrize(("gap", "count"), [(0.0005, 1), (0.0055, 1), (0.0065, 0)])
def test_sheets_lap_up_to_6_mm_apart(gap, count):
    """Practice: gaps over 5 mm break capillarity; the line is drawn at 6 mm (laps_table)."""
    assert len(measured(*two_sheets(radians(30), 0.15, gap=gap))) == count


def test_a_lap_dressed_the_wrong_way_is_none():
    """Derived: with the lower sheet on top its upper edge is open, and ways through it fall."""
    pitch = radians(30)
    lower = along(on_slope(pitch, 0.0, 0.4, GAP), -0.3, 0.3, name="lower")
    upper = along(on_slope(pitch, 0.25, 1.0), -0.3, 0.3, name="upper")
    assert measured(lower, upper) == ()


@pytest.mark.parametrize(("lap", "ok"), [(0.040, True), (0.026, True), (0.020, False)])
def test_a_lap_across_the_slope(lap, ok):
    """Derived: sheets side by side overlap by `lap`, level; 25 mm is common practice, no source."""
    pitch = radians(40)
    left = along(on_slope(pitch, 0.0, 0.5), -0.4, 0.0, name="left one")
    right = along(on_slope(pitch, 0.0, 0.5, GAP), -lap, 0.4, name="right one")
    (found,) = measured(left, right)
    assert found.length == pytest.approx(lap, abs=1e-9)
    assert found.rise == pytest.approx(0.0, abs=1e-9)
    assert found.width == pytest.approx(0.5, abs=1e-9)
    assert found.ok is ok


def stepped_covering(pitch, gauge, thickness, courses):
    """Noses on one slope, as one sheet: rows (y, z) of treads and upright noses."""
    run = gauge * cos(pitch)
    own = (run * np.tan(pitch) - thickness) / run
    rows = []
    for course in range(courses):
        y, z = course * run, course * run * np.tan(pitch)
        rows += [(y, z), (y + run, z + own * run)]
    return rows


def apron_on(line, cut, upstand=0.15):
    """A cover that follows the line from y = cut to its end, and stands up there."""
    y = np.array([row[0] for row in line])
    kept = [(cut, float(np.interp(cut, y, [row[1] for row in line])))]
    kept += [row for row in line if row[0] > cut + 1e-9]
    kept = [(a, b + GAP) for a, b in kept]
    return along([*kept, (kept[-1][0], kept[-1][1] + upstand)], -0.3, 0.3, name="apron")


@pytest.mark.parametrize("cover", [0.090, 0.150])
def test_a_cover_on_a_plain_roof_ends_at_its_fold(cover):
    """Derived: cover from edge to fold, though the covering stops 10 mm short of the stack."""
    pitch = radians(35)
    roof = along(on_slope(pitch, -1.0, -0.01), -1, 1, name="covering", role=Role.COVERING)
    fold = on_slope(pitch, -cover, 0.0, GAP)
    apron = along([*fold, (fold[1][0], fold[1][1] + 0.15)], -0.3, 0.3, name="apron")
    (found,) = measured(roof, apron)
    assert found.length == pytest.approx(cover, abs=1e-9)
    assert found.ok is (cover == 0.150)
    assert found.missing == pytest.approx(0.150 - cover, abs=1e-9)
    assert found.rule == "a cover lies at least 150 mm over the covering"


@pytest.mark.parametrize("nose", [0.001, 0.003, 0.03, 0.06])
def test_a_dressed_cover_is_measured_along_the_roof_not_over_its_steps(nose):
    """Derived: plan distance over the cosine of the roof's pitch, wherever the last nose lies."""
    pitch, gauge = radians(40), 0.1
    line = stepped_covering(pitch, gauge, 0.012, 10)
    end = 8 * gauge * cos(pitch) + nose
    y = np.array([row[0] for row in line]) + np.arange(len(line)) * 1e-12
    z = np.array([row[1] for row in line])
    short = [row for row in line if row[0] < end - 0.01]
    roof = along(short, -1, 1, name="covering", role=Role.COVERING)
    dressed = [row for row in line if row[0] < end] + [(end, float(np.interp(end, y, z)))]
    cut = end - 0.15 * cos(pitch)
    (found,) = measured(roof, apron_on(dressed, cut))
    assert found.length == pytest.approx(0.15, abs=1e-3)
    assert found.ok


def only_pitch(roof):
    slopes = Slopes.of(Surface.of(Assembly((roof,))))
    (slope,) = slopes.each
    return slope.pitch


@pytest.mark.parametrize("kind", ["pointed", "flat"])
@pytest.mark.parametrize(("cover", "ok"), [(0.15, True), (0.12, False)])
def test_a_cover_that_rests_on_crests_is_measured_along_the_roof(kind, cover, ok):
    """Derived: on a profiled roof the same as on a flat one, though only crests lie near the cover: from
    edge to fold along the rafters' pitch."""
    pitch, end = radians(25), 1.6
    roof = profiled(kind, 25)
    points = [(y, y * np.tan(pitch) + 0.03 + GAP) for y in (end - cover * cos(pitch), end)]
    points.append((end, points[1][1] + 0.15))
    (found,) = measured(roof, along(points, -0.3, 0.3, name="apron"))
    assert found.length == pytest.approx(cover, abs=1e-3)
    assert found.width == pytest.approx(0.6, abs=0.03)
    assert found.ok is ok


def test_the_roofs_pitch_is_read_off_its_noses():
    """Derived: the plane through the noses, not the courses' own flatter planes."""
    pitch = radians(40)
    roof = along(
        stepped_covering(pitch, 0.1, 0.012, 10), -1, 1, name="covering", role=Role.COVERING
    )
    assert only_pitch(roof) == pytest.approx(pitch, abs=1e-9)
    plain = along(on_slope(pitch, 0, 1), -1, 1, name="covering", role=Role.COVERING)
    assert only_pitch(plain) == pytest.approx(pitch, abs=1e-9)
    bare = along(on_slope(pitch, 0, 1), -1, 1, name="sheet")
    assert Slopes.of(Surface.of(Assembly((bare,)))) is None


def test_underlay_is_measured_to_the_top_of_a_welt():
    """Derived: the welt's fold at the top of the gutter leads behind, not its free edge 25 mm down."""
    pitch = radians(40)
    up, off = on_slope(pitch, 0, 0.4), on_slope(pitch, 0.375, 0.4, GAP)
    gutter = along([*up, off[1], off[0]], -0.3, 0.3, name="gutter")
    cloth = on_slope(pitch, 0.28, 0.9, 2 * GAP)
    underlay = along(cloth, -0.3, 0.3, name="cloth", role=Role.UNDERLAY)
    (found,) = measured(gutter, underlay)
    assert found.length == pytest.approx(0.12 + 2 * GAP * np.tan(pitch), abs=1e-9)
    assert found.needed == 0.100


def test_an_edge_folded_over_another_is_measured_with_its_fold():
    """Derived: an upright sheet's edge, folded 20 mm down the other face of a fin 1 mm away: 20 mm and
    the 2 mm between its two leaves."""
    inner = along([(0.0, 0.0), (0.0, 0.1)], -0.2, 0.2, name="inner")
    line = [(-GAP, 0.081), (-GAP, 0.101), (GAP, 0.101), (GAP, 0.0)]
    outer = along(line, -0.2, 0.2, name="outer")
    (found,) = [lap for lap in measured(inner, outer) if lap.upper == "outer"]
    assert found.length == pytest.approx(0.019 + 2 * GAP, abs=1e-6)
    assert found.needed == 0.025
    assert not found.ok


def test_an_edge_under_a_third_sheet_is_not_open():
    """Derived: a sheet wholly under another has no edge that sees the sky."""
    pitch = radians(30)
    lower, upper = two_sheets(pitch, 0.15)
    roof = along(on_slope(pitch, -0.5, 1.5, 0.05), -1, 1, name="top")
    assert measured(lower, upper, roof) == ()


def test_a_lap_round_a_corner_is_measured_round_it():
    """Derived: a return laps 30 mm to the corner and 20 mm beyond it: 50 mm."""

    def bent(far, side, off, name):
        plan = [(far, -off), (off, -off), (off, side)]
        points = np.array([(x, y, z) for x, y in plan for z in (0.0, 0.2)])
        faces = np.array([(0, 2, 3), (0, 3, 1), (2, 4, 5), (2, 5, 3)])
        from meshes.parts import Part

        return Part(name, Role.FLASHING, points, faces)

    under = bent(-0.3, 0.02, 0.0, "under")
    over = bent(-0.03, 0.3, GAP, "over")
    laps = [lap for lap in measured(under, over) if abs(lap.rise) < 1e-9]
    (found,) = laps
    assert found.length == pytest.approx(0.03 + 0.02, abs=1e-9)


def test_covering_over_covering_is_left_to_the_maker():
    """Derived: the rule book has no rule for head laps."""
    pitch = radians(30)
    lower, upper = two_sheets(pitch, 0.1)
    tiles = [
        along(on_slope(pitch, 0, 0.4), -1, 1, name="a", role=Role.COVERING),
        along(on_slope(pitch, 0.3, 1, GAP), -1, 1, name="b", role=Role.COVERING),
    ]
    assert measured(*tiles) == ()
    assert len(measured(lower, upper)) == 1


@pytest.mark.parametrize("module", [laps_table, leaks_table])
def test_every_number_stands_in_its_table_with_a_reason(module):
    """Derived: the habit of one table, each row with unit and reason."""
    own = {name for name, value in vars(module).items() if name.isupper() and name != "TABLE"}
    assert own == set(module.TABLE)
    for name, row in module.TABLE.items():
        assert row.value == getattr(module, name)
        assert row.unit
        assert len(row.reason) > 20
