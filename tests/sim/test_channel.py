"""Level channels: critical depth, depth at the divide, profile, and the section's own integrals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from sim.channel import (
    critical_depth,
    deepest,
    half_round_capacity,
    most_flow,
    profile,
    surface_tension_governs,
)
from sim.channel_section import Section
from sim.water import GRAVITY

STEPPED = Section.of([0.0, 0.02, 0.02, 0.08, 0.1], [0.0, 0.05, 0.15, 0.2, 0.1])


@pytest.mark.parametrize(
    ("litres", "critical_mm", "deepest_mm"),
    [(0.05, 2.25, 3.89), (0.5, 10.42, 18.06), (1.0, 16.55, 28.66), (5.0, 48.39, 83.81)],
)
def test_a_channel_of_150_mm_stands_as_deep_as_the_table_says(litres, critical_mm, deepest_mm):
    """reference-values.md, gutters, b = 150 mm: derived there; to its last digit."""
    section = Section.rectangle(0.150)
    assert critical_depth(section, litres * 1e-3) * 1e3 == pytest.approx(critical_mm, abs=0.006)
    assert deepest(section, litres * 1e-3) * 1e3 == pytest.approx(deepest_mm, abs=0.006)


def test_a_rectangle_is_deepest_at_root_three_times_critical():
    """y0 = sqrt(3) yc, yc = (Q^2 / (g b^2))^(1/3): a hydraulics text (seen), derived again."""
    flow = np.array([1e-5, 1e-3, 0.1])
    critical = np.cbrt(flow**2 / (GRAVITY * 0.3**2))
    section = Section.rectangle(0.3)
    np.testing.assert_allclose(critical_depth(section, flow), critical, rtol=1e-12)
    np.testing.assert_allclose(deepest(section, flow), np.sqrt(3) * critical, rtol=1e-12)


@pytest.mark.parametrize("pitch_deg", [15, 40, 60])
def test_a_trough_is_deepest_at_the_cube_root_of_two_and_a_half(pitch_deg):
    """y0 = 2.5^(1/3) yc, yc^5 = 8 Q^2 / (g z^2), z = cot(pitch): derived, reference-values.md."""
    z, flow = 1 / np.tan(np.radians(pitch_deg)), 7e-4
    section = Section.trough(z)
    critical = (8 * flow**2 / (GRAVITY * z**2)) ** 0.2
    assert critical_depth(section, flow) == pytest.approx(critical, rel=1e-12)
    assert deepest(section, flow) == pytest.approx(2.5 ** (1 / 3) * critical, rel=1e-12)


def test_the_profile_of_a_rectangle_passes_through_the_tabled_points():
    """(x / L)^2 = s (1.5 - 0.5 s^2), and x / L at s = 1.1, 1.3, 1.5, 1.7 (seen, derived again).

    Straight lines between 2001 points are off by far less than the table's last digit.
    """
    section = Section.rectangle(0.15)
    x, y = profile(section, 1e-3, 2.0, points=2001)
    s = y / critical_depth(section, 2e-3)
    np.testing.assert_allclose((x / 2.0) ** 2, s * (1.5 - 0.5 * s**2), atol=1e-12)
    found = np.interp([1.7, 1.5, 1.3, 1.1], s[::-1], x[::-1] / 2.0)
    np.testing.assert_allclose(found, [0.3058, 0.7500, 0.9228, 0.9922], atol=6e-5)
    assert x[0] == pytest.approx(0, abs=1e-9)
    assert (np.diff(x) > 0).all()
    assert (np.diff(y) < 0).all()


def test_the_profile_of_any_section_keeps_the_force_along_it():
    """Q^2 / (g A) + A ybar is the same at every point: the law itself (standard texts)."""
    x, y = profile(STEPPED, 2e-3, 1.5)
    force = (2e-3 * x) ** 2 / (GRAVITY * STEPPED.area(y)) + STEPPED.first_moment(y)
    np.testing.assert_allclose(force, force[-1], rtol=1e-9)


@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=60)
@given(depth=st.floats(1e-3, 0.3))
def test_areas_and_moments_are_the_integrals_of_width_and_area(depth):
    """Exact geometry: sums over 20,000 thin layers, off by one layer at the ledge."""
    y = (np.arange(20000) + 0.5) * depth / 20000
    layer = depth / 20000
    assert STEPPED.area(depth) == pytest.approx(STEPPED.top_width(y).sum() * layer, rel=1e-4)
    moment = ((depth - y) * STEPPED.top_width(y)).sum() * layer
    assert STEPPED.first_moment(depth) == pytest.approx(moment, rel=1e-4)


@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=60)
@given(depth=st.floats(1e-3, 0.2), slope=st.floats(0.2, 5))
def test_the_most_flow_is_what_stands_that_deep(depth, slope):
    """The inverse of `deepest`: two searches that must agree."""
    section = Section.trough(slope)
    assert deepest(section, most_flow(section, depth)) == pytest.approx(depth, rel=1e-9)


def test_no_flow_stands_at_no_depth():
    """By the law: both depths are nil."""
    assert critical_depth(Section.trough(1.0), 0.0) == 0
    assert deepest(Section.rectangle(0.1), 0.0) == 0
    assert most_flow(Section.rectangle(0.1), 0.0) == 0


def test_a_half_round_gutter_of_100_mm_drains_the_area_that_the_document_prints():
    """Approved Document H prints 37 m2 for 100 mm at 0.0208 L/s m2 (seen); EN 12056-3 (memory) gives
    37.4, derived in reference-values.md."""
    flow = half_round_capacity(np.pi * 0.1**2 / 8)
    assert flow / 0.0208e-3 == pytest.approx(37.4, abs=0.05)


def test_shallow_water_is_said_to_be_indicative():
    """4 mm: reference-values.md, gutters (practice)."""
    assert surface_tension_governs([0.0039, 0.0041]).tolist() == [True, False]


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Section.of([0.0, -1.0], [0.1, 0.1]), "heights must be from 0 up"),
        (lambda: Section.of([0.0, 1.0], [0.1, 0.0]), "widths must be above 0"),
        (lambda: Section.of([0.0], [0.1, 0.2]), "heights and widths must be as many"),
        (lambda: Section.rectangle(0.1).area(-1.0), "depth must be 0 or more"),
        (lambda: critical_depth(Section.rectangle(0.1), -1.0), "flow must be 0 or more"),
        (lambda: critical_depth(Section.rectangle(0.1), np.nan), "flow must be 0 or more"),
        (
            lambda: critical_depth(Section.rectangle(1e-9), 1.0),
            "depth of the channel must be at most",
        ),
        (lambda: most_flow(Section.rectangle(0.1), -1.0), "depth must be 0 to 100 m"),
        (lambda: profile(Section.rectangle(0.1), 0.0, 1.0), "flow per metre must be above 0"),
        (lambda: profile(Section.rectangle(0.1), 1e-3, 0.0), "length must be above 0"),
        (lambda: profile(Section.rectangle(0.1), 1e-3, 1.0, points=1), "points must be at least 2"),
        (lambda: half_round_capacity(-1.0), "area of the gutter must be 0 or more"),
    ],
)
def test_nonsense_gets_one_line(make, told):
    """The rule of the house: what, rule and value in one line."""
    with pytest.raises(SceneError, match=told):
        make()
