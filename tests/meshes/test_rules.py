"""Saddles, soakers, steps and bossed corners against codes, exact geometry and other computations."""

from __future__ import annotations

from math import atan, cos, inf, nan, pi, radians, sin, tan

import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, scale

from meshes.errors import PieceError
from meshes.rules import (
    US_STEP_LAP,
    US_STEP_LEG,
    bossing_stretch,
    saddle_height,
    saddle_needed,
    soaker_length,
    step_run,
    valley_fall,
)
from meshes.sheet import normal_of

IRC_TABLE_R1003_20 = [(12, 2), (8, 3), (6, 4), (4, 6), (3, 8)]  # rise in 12, share of the width
PITCHES = st.floats(radians(5), radians(70))
FAST = settings(
    derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=100, deadline=None
)


@pytest.mark.parametrize(("rise", "share"), IRC_TABLE_R1003_20)
def test_saddle_height_is_the_code_s(rise: int, share: int) -> None:
    """IRC Table R1003.20: W/2 at 12:12 (seen), W/3, W/4, W/6, W/8 (memory)."""
    assert saddle_height(0.9, atan(rise / 12)) == pytest.approx(0.9 / share, rel=1e-12)


def test_saddle_is_needed_over_thirty_inches_away_from_the_ridge() -> None:
    """IRC R1003.20 (seen): over 762 mm and not at the ridge; exactly 762 mm is not over it."""
    assert not saddle_needed(0.762, meets_ridge=False)
    assert saddle_needed(0.763, meets_ridge=False)
    assert not saddle_needed(1.5, meets_ridge=True)


@FAST
@given(width=st.floats(0.3, 4), pitch=PITCHES)
def test_saddle_planes_meet_the_roof_as_stated(width: float, pitch: float) -> None:
    """Exact geometry, from the saddle's corners alone: the pitch is the roof's, the valley runs at 45
    degrees in plan and falls as `valley_fall` says (reference-values: pitch/sqrt(2), derived)."""
    foot = np.array([width / 2, 0.0, 0.0])
    peak = np.array([0.0, 0.0, saddle_height(width, pitch)])
    end = np.array([0.0, peak[2] / tan(pitch), peak[2]])  # the level ridge meets the roof here
    normal = normal_of(np.array([foot, end, peak]))
    assert np.hypot(*normal[:2]) / normal[2] == pytest.approx(tan(pitch), rel=1e-9)
    valley = end - foot
    assert abs(valley[0]) == pytest.approx(abs(valley[1]), rel=1e-9)
    assert valley[2] / np.hypot(*valley[:2]) == pytest.approx(valley_fall(pitch), rel=1e-9)


def test_soaker_length() -> None:
    """Trade guidance (seen): gauge + lap + 25 mm. 100 mm gauge, 65 mm lap: 190 mm."""
    assert soaker_length(0.100, 0.065) == pytest.approx(0.190, abs=1e-12)


def test_step_run() -> None:
    """Exact geometry: a 75 mm course rises 75 mm in 75 mm at 45 degrees; at 3 in 4 in 100 mm."""
    assert step_run(0.075, pi / 4) == pytest.approx(0.075, abs=1e-12)
    assert step_run(0.075, atan(3 / 4)) == pytest.approx(0.100, abs=1e-12)


def test_us_step_flashing() -> None:
    """IRC R905.2.8.3 (seen): 4 in by 4 in, each laps the next by 2 in."""
    assert pytest.approx(0.1016, abs=1e-12) == US_STEP_LEG
    assert pytest.approx(0.0508, abs=1e-12) == US_STEP_LAP


def test_bossing_a_square_corner() -> None:
    """Exact geometry: 100 mm up round a right angle, 200 mm worked along each edge: in the flat the two
    legs of 200 x 100 share a square of 100 mm, so 40000 mm2 come out of 30000."""
    assert bossing_stretch(0.1, pi / 2, 0.2) == pytest.approx(1 / 3, rel=1e-12)
    assert bossing_stretch(0.1, 0.0, 0.2) == 0.0


@FAST
@given(height=st.floats(0.01, 0.3), turn=st.floats(0.05, 2.6), more=st.floats(2, 20))
def test_bossing_against_an_outside_library(height: float, turn: float, more: float) -> None:
    """Two computations that share nothing: shapely's union of both legs laid flat inside the corner,
    each a rectangle along its edge, clipped to that inside. Under twice the shortest length one leg
    would stick out past the other's end; there the annulus below is the check."""
    length, inner = more * height * tan(turn / 2), pi - turn
    leg = shapely.box(0, 0, length, height)
    other = scale(rotate(leg, -inner, origin=(0, 0), use_radians=True), yfact=-1, origin=(0, 0))
    far = 10 * (length + height)
    sweep = [(far * cos(inner * i / 8), far * sin(inner * i / 8)) for i in range(9)]
    flat = shapely.union(leg, other) & shapely.Polygon([(0, 0), *sweep])
    expected = 2 * length * height / flat.area - 1
    assert bossing_stretch(height, turn, length) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("corners", [3, 4, 24, 4096])
def test_a_round_collar_is_the_annulus(corners: int) -> None:
    """Exact: a hole of radius r - h is stretched to r and stands h high; areas of annulus and cylinder.

    A regular polygon round the circle gives the same mean for every number of corners.
    """
    radius, height = 0.15, 0.06
    turn = 2 * pi / corners
    cylinder = 2 * pi * radius * height
    annulus = pi * (radius**2 - (radius - height) ** 2)
    found = bossing_stretch(height, turn, radius * tan(turn / 2))
    assert found == pytest.approx(cylinder / annulus - 1, rel=1e-9)


def test_bossing_doubles_the_area_where_the_hole_closes() -> None:
    """Exact: a collar as high as its radius comes out of a disc: 2 pi r^2 out of pi r^2."""
    assert bossing_stretch(0.1, pi / 2, 0.1) == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: saddle_height(0.0, 0.5), "width must be above 0 mm. Got width = 0 mm"),
        (lambda: saddle_needed(nan, False), "width must be above 0 mm"),
        (lambda: saddle_height(1.0, pi / 2), "pitch must be above 0 and below 90 degrees"),
        (lambda: valley_fall(0.0), "pitch must be .* Got pitch = 0"),
        (lambda: soaker_length(-0.1, 0.065), "gauge must be above 0 mm. Got gauge = -100 mm"),
        (lambda: soaker_length(0.1, -0.001), "head lap must be 0 mm or more. Got head lap = -1 mm"),
        (lambda: step_run(0.0, 0.5), "brick gauge must be above 0 mm"),
        (lambda: step_run(0.075, nan), "pitch must be"),
        (lambda: bossing_stretch(inf, 1.0, 1.0), "height must be above 0 mm"),
        (lambda: bossing_stretch(0.1, pi, 1.0), "turn of a bossed corner must be .* = 180"),
        (lambda: bossing_stretch(0.1, pi / 2, 0.099), "at least 100 mm here.* = 99 mm"),
        (lambda: bossing_stretch(0.1, 0.0, 0.0), "length worked at a bossed corner must be"),
    ],
)
def test_impossible_measures_are_refused_in_one_line(call, words: str) -> None:  # type: ignore[no-untyped-def]
    """Every check is reached; the line gives what, rule and value."""
    with pytest.raises(PieceError, match=words) as caught:
        call()
    assert "\n" not in str(caught.value)
