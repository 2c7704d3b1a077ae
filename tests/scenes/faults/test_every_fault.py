"""Every fault: which parts it changes and by how much, and that nothing else moves.

Expected measures are exact geometry of the scenes' own figures: `cottage` 590 by 440 mm at 40 degrees
with a bedding gap of 1 mm, `terrace` at 30 degrees with a fin, `wide` at 35 degrees with a saddle.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, inf, radians, sin, tan

import numpy as np
import pytest
from numpy.typing import NDArray

from meshes.around.build import build_around
from meshes.parts import Assembly
from scenes.faults.asked import parsed
from scenes.faults.catalogue import CATALOGUE
from tests.scenes.faults.wrongly import (
    Probe,
    X,
    Y,
    Z,
    above_slope,
    area,
    begins,
    bodies,
    changed,
    fall,
    height,
    highest,
    in_plan,
    lowest,
    over,
    right,
    scene,
    sole,
    volume,
    wrong,
)  # fmt: skip

APRON, GUTTER, SADDLE = "front apron", "back gutter", "saddle flashing"
LEFT, RIGHT = "left side flashing", "right side flashing"
UPPER = "upper underlay"
SIDES = {LEFT, RIGHT}
ON_COURSES = {"underlay", APRON, LEFT, RIGHT, GUTTER, UPPER, "covering"}
"""What lies on the courses: all of it moves with them."""
PITCH = cos(radians(40))
OWN = cos(radians(40) - atan(12 / 100))
"""Of cottage's courses, flatter than its rafters by thickness over gauge."""
CHASES = 2 * 590 * 35 * 12 + 2 * 440 * 35 * 12 / PITCH
"""Of cottage, all round [mm3]: 35 mm deep, 12 mm high square to their run."""


def beside(points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Corners beside the stack, not on its front or what is turned round its back."""
    return (points[:, Y] > 0.001) & (points[:, Y] < 0.442)


def between_sides(points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Corners before or behind the stack."""
    return np.abs(points[:, X]) < 0.2953


def behind_the_returns(points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Corners before or behind the stack, without the ends of the back gutter's returns."""
    return between_sides(points) & (points[:, Y] > 0.412)


def in_front(points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Corners in front of the stack's front face."""
    return points[:, Y] < -0.0015


def beside_right(points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Corners beside the stack's right side."""
    return beside(points) & (points[:, X] > 0)


def past_corner(points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Corners past the right corner of the stack and high above the sole."""
    return (points[:, X] > 0.294) & (points[:, Z] > 0.52)


def more_than_150() -> float:
    """By how much the rule's lap, 75 mm over the sine of the courses' own pitch, is longer than 150 mm on
    `low`: in plan [mm]."""
    detail = scene("low").detail
    assert detail is not None
    own = detail.roof.covering_pitch
    return (75 / sin(own) - 150) * cos(own)


def heap_over_sole(made: Assembly) -> float:
    """Height of a heap of leaves over the sole's front edge, 120 mm below the upstand's top bend."""
    top = highest(GUTTER, Z, lambda p: np.abs(p[:, Y] - 0.444) < 1e-6)(made)
    return highest("leaves, right", Z)(made) - (top - 120)


def fold_deep(made: Assembly) -> float:
    """Depth of the edge folded over a fin, square to the fin's edge: at its upper end."""
    points = 1000 * made[RIGHT].vertices
    folded = points[np.abs(points[:, X] - 421) < 1e-6]
    high = folded[np.abs(folded[:, Y] - folded[:, Y].max()) < 1e-6]
    top, end = high[np.argmax(high[:, Z])], folded[np.argmin(folded[:, Y])]
    lower = folded[np.abs(folded[:, Y] - end[Y]) < 1e-6]
    slope = (top[Z] - lower[:, Z].max()) / (top[Y] - end[Y])
    return float(np.ptp(high[:, Z]) * cos(np.arctan(slope)))


def ear_turned(made: Assembly) -> float:
    """Angle of the right ear's tip from the cover's normal at the corner: down the slope above nought."""
    points = 1000 * made[APRON].vertices
    tip = points[np.argmax(points[:, X])][1:]
    foot = points[(np.abs(points[:, X] - 422) < 1e-6) & (np.abs(points[:, Y] + 2) < 1e-6)]
    corner = foot[np.argmin(foot[:, Z])][1:]
    own = radians(30) - atan(25 / 345)
    y, z = tip - corner
    return float(np.degrees(np.arctan2(-y * cos(own) - z * sin(own), z * cos(own) - y * sin(own))))


@dataclass(frozen=True)
class Row:
    """A fault in a scene: the parts that differ, and a measure's change [mm, degrees, mm2, mm3], or what
    it is then (`now`)."""

    scene: str
    fault: str
    parts: set[str]
    probe: Probe | None = None
    by: float = 0.0
    now: float = inf
    within: float = 0.05

    def __str__(self) -> str:
        return f"{self.scene}: {self.fault}"


def c(
    fault: str, parts: set[str], probe: Probe | None = None, by: float = 0.0, within: float = 0.05
) -> Row:
    """A row on cottage."""
    return Row("cottage", fault, parts, probe, by, within=within)


ORDER = (
    # Each sheet lies one gap of 1 mm over the one below; turned round, one gap under it.
    c("return tucked under@right", ON_COURSES | {"tilt fillet"}, over(RIGHT, APRON, 320, -60), -2 / OWN),
    Row("terrace", "fin folded the wrong way@right", ON_COURSES | {"tilt fillet"}, highest(APRON, X), 2),
    Row("slit", "apron over the side@right", ON_COURSES | {"corner patch 1", "corner patch 2"},
        over(RIGHT, APRON, 297, -60), now=-1 / OWN, within=1),
    c("side over the gutter@right", {RIGHT, GUTTER, UPPER}, over(RIGHT, GUTTER, 360, 400), 2 / OWN),
    # Over the gutter the underlay clears its welt too.
    c("underlay under the gutter", {*SIDES, GUTTER, UPPER}, over(UPPER, GUTTER, 0, 700), -3 / OWN),
    Row("terrace", "ear mouth up-slope", {APRON}),
)  # fmt: skip
LAPS = (
    # A gap under the soaker below it, along the courses.
    Row("soakers", "soaker tucked under@right", {"covering", "right soaker 1", "right soaker 2"},
        over("right soaker 2", "right soaker 1", 340, 220), now=-1 / OWN),
    # A step's lower end comes out by a gap a whole step, and by as much of one more as it laps.
    Row("soakers", "step tucked under@right", {f"right step {n}" for n in (2, 3, 4)},
        lambda made: highest("right step 3", X)(made) - highest("right step 2", X)(made),
        -(1 + 50 / (75 / tan(radians(40))))),
    Row("soakers", "step behind the soakers@right", {f"right step {n}" for n in (2, 3, 4)},
        highest("right step 3", X), now=295 + 2),
    # Between the underlay's upturn, 1 mm off the wall, and the innermost sheet: 2 mm in front, 3 behind.
    Row("two-part", "cover flashing tucked behind@front", {"front cover flashing"},
        lowest("front cover flashing", Y), now=-1.5),
    Row("two-part", "cover flashing tucked behind@back", {"back cover flashing"},
        highest("back cover flashing", Y), now=440 + 2),
)  # fmt: skip
SHEETS = (
    # Without its turn-in the apron still ends in edges dressed to 0.55 mm from the wall.
    c("no turn-in@front", {"stack", APRON}, highest(APRON, Y, between_sides), -25.55),
    c("no turn-in@right", {"stack", RIGHT}, lowest(RIGHT, X, beside), 28),
    # From the bends, 4 mm off the wall, 25 mm in: behind the stack from mitre to mitre, and on each side.
    c("no turn-in@back", {"stack", GUTTER}, in_plan(GUTTER),
        -29 * ((598 + 540) / 2 + 2 * (34 + 5) / 2)),
    c("turn-in too shallow@front=15", {APRON}, highest(APRON, Y, between_sides), -15),
    c("turn-in too shallow@right=15", {RIGHT}, lowest(RIGHT, X, beside), 15),
    c("turn-in too shallow@back=10", {GUTTER}, lowest(GUTTER, Y, behind_the_returns), 10),
    c("mortar fallen out", {"stack"}, volume("stack"), -CHASES, within=1),
    c("upstand too low@front=25", {APRON}, highest(APRON, Z), -25),
    c("upstand too low@back=17", {GUTTER}, highest(GUTTER, Z, between_sides), -17),
    c("upstand too low@right=25", {APRON, RIGHT}, highest(RIGHT, Z, in_front), -25 / PITCH),
    c("cover too narrow@front", {APRON, *SIDES}, lowest(APRON, Y), 60 * PITCH),
    c("cover too narrow@right", {RIGHT}, highest(RIGHT, X), -60),
    c("apron too narrow", {APRON}, highest(APRON, X), -30),
    # What is left of the corner is the nose of the turn-in, 0.2 mm off it.
    c("return missing@right", {RIGHT}, lowest(RIGHT, X, in_front), 30.2),
    c("return too short@right", {RIGHT}, lowest(RIGHT, X, in_front), 20),
    Row("terrace", "fold over too short@right", {RIGHT}, fold_deep, -15),
    Row("cottage", "cover not dressed down", {APRON, *SIDES, GUTTER}, height(APRON, 0, -90),
        now=-90 * tan(radians(40)) + 1 / PITCH),
    Row("two-part", "cover flashing too short@front", {"front cover flashing"},
        lowest("front cover flashing", Z), 40),
    Row("two-part", "cover flashing too short@back=30", {"back cover flashing"},
        lowest("back cover flashing", Z), 30),
    Row("soakers", "soaker too narrow@right", {f"right soaker {n}" for n in (2, 3, 4)},
        highest("right soaker 3", X), -40),
    Row("soakers", "soaker upturn too low@right", {f"right soaker {n}" for n in (1, 2, 3, 4)},
        above_slope("right soaker 3", 40), -30),
    Row("soakers", "step lap too short@right", {f"right step {n}" for n in (2, 3, 4, 5)},
        lambda made: lowest("right step 3", Y)(made) - highest("right step 2", Y)(made), 25),
)  # fmt: skip
BACK = (
    c("gutter too narrow", {"tilt fillet", *SIDES, GUTTER}, sole, -60),
    c("gutter too short", {GUTTER, UPPER}, highest(GUTTER, X), -120),
    c("gutter end lap too short", {GUTTER}, lowest(GUTTER, Y), 100 * PITCH),
    c("gutter leg too short", {GUTTER, UPPER}, highest(GUTTER, Y), -80 * OWN),
    # A welt of 25 mm and the gap of 1 mm that it is folded over, along 916 mm.
    c("no welt", {GUTTER, UPPER}, area(GUTTER), -26 * 916, within=1),
    c("gutter falls to the stack", {"tilt fillet", *SIDES, GUTTER}, fall, 3),
    c("back corner not soldered", {GUTTER}, lowest(GUTTER, Y, past_corner), 30),
    Row("cottage", "leaves in the gutter@right", {"+leaves, right"}, heap_over_sole, now=60),
    Row("cottage", "snow in the gutter", {"+snow"}, above_slope("snow", 40), now=200),
    Row("wide", "saddle left out", {"stack", "inside", f"-{SADDLE}", f"+{GUTTER}", "+tilt fillet",
        *ON_COURSES} - {GUTTER}),
    Row("wide", "saddle too low", ON_COURSES - {GUTTER} | {SADDLE}, height(SADDLE, 0, 506), -200),
    Row("low", "wrong lap for a low pitch", {"tilt fillet", GUTTER, UPPER}, highest(GUTTER, Y),
        -more_than_150()),
    c("underlay lap too short", {UPPER}, lowest(UPPER, Y), 60 * OWN),
    c("covering cut too far off", {"covering", "tilt fillet"}, lowest("covering", X, beside_right), 40),
    c("covering starts too high", ON_COURSES | {"tilt fillet"}, begins("covering", 450, 800),
        150 * PITCH, within=0.3),
)  # fmt: skip
PARTS = (
    c("side stopped short@right", {RIGHT}, lowest(RIGHT, Y), 80 * PITCH),
    # Seen from above a split takes its width times 80 mm, a hole its width squared.
    c("split in a bend@front=3", {APRON}, in_plan(APRON), -240),
    c("split in a bend@right", {RIGHT}, in_plan(RIGHT), -160),
    c("split in a bend@back", {GUTTER}, in_plan(GUTTER), -160),
    # The upstand above it, which the rounding of a turned stack could take for cut too, stays.
    Row("turned", "split in a bend@back", {"back flashing"}, area("back flashing"), -160 / OWN),
    Row("wide", "torn by heat@front", {APRON}, lowest(APRON, X, lambda p: p[:, X] > 0), now=1),
    Row("wide", "torn by heat@back", {SADDLE}, bodies(SADDLE), 1),
    c("lifted edge@front", {APRON}, height(APRON, 0, -116.9), 15),
    c("lifted edge@right", {RIGHT}, height(RIGHT, 447.99, 159), 15),
    c("nail through the cover@front", {APRON}, in_plan(APRON), -25),
    c("nail through the cover@right=8", {RIGHT}, in_plan(RIGHT), -64),
    c("nail through the cover@back", {GUTTER}, in_plan(GUTTER), -25),
    # The underlay stands one gap off the stack: 100 mm upright in front, 70 mm square to the slope beside.
    c("underlay not turned up@front", {"underlay"}, area("underlay"), -100 * 592),
    c("underlay not turned up@right", {"underlay"}, area("underlay"), -70 / PITCH * 442),
    c("underlay not turned up@back", {"underlay"}, area("underlay"), -70 / PITCH * 592),
    c(
        "underlay cut at the corner@front right",
        {"underlay"},
        in_plan("underlay"),
        -(60**2 - 31**2),
    ),
    c(
        "underlay cut at the corner@back left=50",
        {"underlay"},
        in_plan("underlay"),
        -(100**2 - 51**2),
    ),
    Row("slit", "slit corner without patch@front right", {"-corner patch 2"}),
    Row("slit", "slit corner without patch@front left", {"-corner patch 1"}),
    c("tilt fillet left out", {"-tilt fillet"}),
    Row("soakers", "soaker left out@right", {"-right soaker 3"}),
    Row("soakers", "step left out@right", {"-right step 3"}),
)
ROWS = (*ORDER, *LAPS, *SHEETS, *BACK, *PARTS)


def test_the_catalogue_is_as_long_as_asked_for() -> None:
    """The issue: at least 25 faults, each of a name of its own."""
    names = [fault.name for fault in CATALOGUE]
    assert len(names) >= 25
    assert len(set(names)) == len(names)


def test_every_fault_has_a_row() -> None:
    """No fault without a test; the one that is made with another builder has one of its own below."""
    rows = {parsed(row.fault).fault.name for row in ROWS}
    assert rows | {"corner fold up-slope"} == {fault.name for fault in CATALOGUE}


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_what_it_does_to_the_parts(row: Row) -> None:
    """Exact geometry: the parts that differ, no other does, and one measure of them."""
    was, now = right(row.scene), wrong(row.scene, row.fault)
    assert changed(was, now) == row.parts
    if row.probe is not None:
        if row.now < inf:
            assert row.probe(now) == pytest.approx(row.now, abs=row.within)
        else:
            assert row.probe(now) - row.probe(was) == pytest.approx(row.by, abs=row.within)


def test_the_ear_is_laid_to_the_other_side_of_the_normal() -> None:
    """Exact geometry: two leaves take up the same surplus, so both ways turn by the same angle."""
    turned = ear_turned(right("terrace"))
    assert turned > 20
    assert ear_turned(wrong("terrace", "ear mouth up-slope")) == pytest.approx(-turned, abs=1e-6)


def test_corner_fold_up_slope() -> None:
    """Against the same stack made by the same builder: the apron is turned round over the sides, whose
    returns are gone; nothing else differs."""
    detail = scene("cottage").detail
    assert detail is not None
    was, now = build_around(detail), wrong("cottage", "corner fold up-slope")
    assert changed(was, now) == {APRON, LEFT, RIGHT}
    # Both are turned 30 mm round the corner, from 3 mm beside the stack and from 4 mm before it.
    assert lowest(RIGHT, X, in_front)(was) == pytest.approx(298 - 30, abs=0.05)
    assert lowest(RIGHT, X, in_front)(now) > 295
    assert highest(APRON, Y, lambda p: p[:, X] > 0.2985)(now) == pytest.approx(30 - 4, abs=0.05)
