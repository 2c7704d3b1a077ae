"""Rain in wind on a box that stands on a roof: every face catches all the water that meets it."""

from __future__ import annotations

from math import fsum, radians, sqrt, tan

import numpy as np
import pytest
from numpy.typing import NDArray

from meshes.errors import SceneError
from meshes.parts import Assembly
from sim.charts import Charts
from sim.driving_rain import catch_ratio, driving_rain
from sim.drop_sizes import MM_H, best_share_below, fall_speed, mean_fall_speed
from sim.fates import Fate
from sim.rain import Drops, rain
from sim.trace import trace
from tests.sim.shapes import box, pitched, sheet

RAIN = 20 * MM_H
WIND = 12.0
DROPS = 40_000
PLAN = 2 * 3.0  # of the roof [m2]
TALL, BROAD, LONG = 1.2, 0.6, 0.4  # the box above the roof's origin, along x and along y [m]
FACES = {"front": (0, -1), "right": (1, 0), "back": (0, 1), "left": (-1, 0)}


def roof(pitch_deg: float, *, boxed: bool = True, end: float = 1.5) -> Charts:
    """A plane up to an end [m], and an upright box through it with its front at the origin."""
    parts = [sheet(pitched(pitch_deg), [-1, 1], [-1.5, end])]
    if boxed:
        parts.append(box((-BROAD / 2, 0.0, -1.5), (BROAD / 2, LONG, TALL)))
    return Charts.of(Assembly(tuple(parts)))


def in_wind(charts: Charts, from_deg: float, *, n: int = DROPS, seed: int = 1) -> Drops:
    return rain(charts, n, seed=seed, rain_m_s=RAIN, wind_m_s=WIND, from_angle=radians(from_deg))


def on_face(charts: Charts, drops: Drops, name: str) -> tuple[float, float]:
    """Flow onto a face of the box, and its standard error, that of a sum of independent drops."""
    normal = charts.normals[drops.chart]
    chosen = (charts.part[drops.chart] == 1) & (normal[:, :2] @ FACES[name] > 0.5)
    flow = drops.flow[chosen]
    return fsum(flow), sqrt(fsum(flow**2))


def exposed(name: str, pitch_deg: float) -> float:
    """Area of a face of the box above the roof [m2]."""
    rise = tan(radians(pitch_deg))
    if name in ("front", "back"):
        return BROAD * (TALL - (LONG * rise if name == "back" else 0.0))
    return LONG * (TALL - LONG * rise / 2)


@pytest.mark.parametrize(
    ("pitch_deg", "from_deg"),
    [(0, 0), (0, 90), (0, 180), (0, 215), (0, -60), (30, 0), (30, 40), (30, -90), (45, 90)],
)
def test_upright_faces_catch_the_driving_rain(pitch_deg: float, from_deg: float) -> None:
    """Derived: a face square to the wind gets wind x rain / mean fall speed an area (`driving_rain`,
    which is tested against Lacy), one at an angle its cosine of that, one behind nothing; within
    three standard errors."""
    charts = roof(pitch_deg)
    drops = in_wind(charts, from_deg)
    angle = radians(from_deg)
    for name, normal in FACES.items():
        onto = max(0.0, float(np.dot(normal, (np.sin(angle), -np.cos(angle)))))
        due = driving_rain(RAIN, WIND) * exposed(name, pitch_deg) * onto
        got, error = on_face(charts, drops, name)
        if onto < 1e-9:
            assert got < 1e-12 * RAIN
        else:
            assert error < 0.08 * due
            assert got == pytest.approx(due, abs=3 * error)


@pytest.mark.parametrize(("pitch_deg", "from_deg"), [(0, 30), (30, 0), (30, 90), (45, -45)])
def test_a_plane_catches_by_its_pitch(pitch_deg: float, from_deg: float) -> None:
    """Derived: 1 + tan(pitch) tan(slant) cos(turned) an area in plan, averaged over drops on a level
    area: as that is linear in the slant, with wind over mean fall speed for tan(slant)."""
    drops = in_wind(roof(pitch_deg, boxed=False), from_deg)
    assert len(drops) == drops.released == DROPS
    slant = np.arctan(WIND / mean_fall_speed(RAIN))
    due = RAIN * PLAN * catch_ratio(radians(pitch_deg), slant, radians(from_deg))
    error = np.std(drops.flow) * sqrt(DROPS)
    assert fsum(drops.flow) == pytest.approx(due, abs=max(3 * error, 1e-9 * due))


def by_size() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Rain on a level area that falls in drops of many sizes [m/s], adding up to all of it, and how
    far across each goes in one down: Best's shares and measured speeds, summed without any draws."""
    edges = np.linspace(1e-4, 5.8e-3, 4001)
    below = best_share_below(edges, RAIN)
    below[0], below[-1] = 0.0, 1.0
    speed = fall_speed((edges[1:] + edges[:-1]) / 2)
    falling = np.diff(below) * speed
    return falling * (RAIN / falling.sum()), WIND / speed


@pytest.mark.parametrize("pitch_deg", [20, 30, 45])
def test_the_back_catches_what_comes_over_the_top_of_the_roof(pitch_deg: float) -> None:
    """Derived: with the wind from the ridge's side a drop as flat as s across in one down, flatter
    than the roof, passes the roof's end only if it meets the back of the box at least
    (1.5 - 0.4) (tan(pitch) - 1 / s) m over the roof; a steeper one may meet it anywhere. By Best's
    shares, integrated; within three standard errors."""
    charts = roof(pitch_deg)
    falling, across = by_size()
    rise = tan(radians(pitch_deg))
    lowest = np.maximum(0.0, (1.5 - LONG) * (rise - 1 / across))
    free = np.maximum(0.0, TALL - LONG * rise - lowest)
    due = fsum(falling * across * free) * BROAD
    got, error = on_face(charts, in_wind(charts, 180), "back")
    assert error < 0.05 * due
    assert got == pytest.approx(due, abs=3 * error)


@pytest.mark.parametrize("pitch_deg", [0, 30])
def test_all_that_falls_is_caught_once(pitch_deg: float) -> None:
    """Derived: roof and box together catch what the roof alone would, and what comes down beyond its
    end in the shadow of the box. For a drop that goes s across in one down the shadow is
    s / (1 + s tan(pitch)) long for each metre of height over the roof. By Best's shares, integrated
    without any drawing; within three standard errors, which are far under the part beyond."""
    end = 0.6
    charts = roof(pitch_deg, end=end)
    drops = in_wind(charts, 0.0)
    falling, across = by_size()
    rise = tan(radians(pitch_deg))
    long = across / (1 + rise * across)
    ends = np.maximum(TALL * long, LONG + (TALL - LONG * rise) * long)
    beyond = BROAD * np.maximum(0.0, ends - end)
    over = fsum(falling * (1 + rise * across) * beyond)
    plain = fsum(falling * (1 + rise * across)) * 2 * (1.5 + end)
    released = np.zeros(DROPS)
    released[drops.drop] = drops.flow
    apart = np.arange(DROPS) % 8 == 1
    error = sqrt(sum(len(part) * part.var() for part in (released[apart], released[~apart])))
    assert error < over / 10
    assert fsum(drops.flow) == pytest.approx(plain + over, abs=3 * error)
    got = trace(charts, drops)
    by_fate = [fsum(drops.flow[got.fate == fate]) for fate in Fate]
    assert fsum(by_fate) == pytest.approx(fsum(drops.flow), rel=1e-12)


def test_mirrored_wind_gives_mirrored_flows() -> None:
    """Derived: the scene is its own mirror image; so are the flows onto it, within three standard
    errors of their difference, and the places where they land."""
    charts = roof(35)
    from_right, from_left = in_wind(charts, 70, seed=1), in_wind(charts, -70, seed=2)
    for face, image in (("front", "front"), ("right", "left"), ("left", "right"), ("back", "back")):
        one, one_error = on_face(charts, from_right, face)
        other, other_error = on_face(charts, from_left, image)
        assert one == pytest.approx(other, abs=3 * np.hypot(one_error, other_error))

    def half(drops: Drops, side: int) -> float:
        return fsum(drops.flow[drops.points[:, 0] * side > 0])

    error = sqrt(fsum(from_right.flow**2) + fsum(from_left.flow**2))
    for side in (1, -1):
        assert half(from_right, side) == pytest.approx(half(from_left, -side), abs=3 * error)


def test_one_slant_catches_the_same_on_every_face() -> None:
    """Derived: rain at 1.2 rad from the upright; the front gets rain x tan(slant) an area though its
    shadow ends beyond the roof, to three standard errors."""
    charts = roof(20)
    drops = rain(charts, DROPS, seed=4, rain_m_s=RAIN, slant=1.2)
    got, error = on_face(charts, drops, "front")
    assert got == pytest.approx(RAIN * tan(1.2) * exposed("front", 20), abs=3 * error)


def test_no_water_comes_through_the_covering() -> None:
    """Derived: from the ridge's side drops flatter than the roof don't come down on it, and reach the
    back of the box only over the roof's top edge; so none meets the underside, and none comes from
    a place below the roof."""
    charts = roof(45)
    drops = in_wind(charts, 180)
    assert len(drops) > 1000
    covering = charts.part[drops.chart] == 0
    assert (drops.chart[covering] % 2 == 0).all()
    above = drops.points[:, 2] - drops.points[:, 1]
    assert (above > -1e-9).all()
    assert (drops.flow > 0).all()


def test_what_lies_beyond_the_roof_and_lower_catches_nothing() -> None:
    """The contract: rain falls on the roof and on what stands over it. Between two posts much of it
    passes on to a slab beyond the roof's end, a little lower, that no rain was asked for."""
    posts = [box((x, 0, 0.1), (x + 0.1, 0.1, TALL), name=f"post {x}") for x in (-0.8, 0.7)]
    slab = box((-1, 0.8, -0.2), (1, 6, -0.1), name="slab")
    charts = Charts.of(Assembly((sheet(pitched(0), [-1, 1], [-1.5, 0.6]), *posts, slab)))
    drops = in_wind(charts, 0.0)
    part = charts.part[drops.chart]
    assert (part != 3).all()
    for post in (1, 2):
        flow = drops.flow[(part == post) & (charts.normals[drops.chart][:, 1] < -0.5)]
        due = driving_rain(RAIN, WIND) * 0.1 * (TALL - 0.1)
        assert fsum(flow) == pytest.approx(due, abs=3 * sqrt(fsum(flow**2)))


def test_one_drop_is_enough() -> None:
    """The contract: a single drop is aimed at the roof, and stands for all that comes down there."""
    drops = rain(roof(0), 1, seed=1, rain_m_s=RAIN, wind_m_s=WIND)
    assert len(drops) == 1
    assert drops.flow[0] == pytest.approx(PLAN * RAIN, rel=1e-12)


def test_more_drops_leave_the_earlier_ones_where_they_were() -> None:
    """The contract: row i of the draws belongs to drop i, for its place, its size and its aim."""
    few, many = (in_wind(roof(30), 20, n=n) for n in (500, 1000))
    early = many.drop < 500
    assert (many.drop[early] == few.drop).all()
    assert (many.points[early] == few.points).all()
    assert (many.chart[early] == few.chart).all()


def test_without_covering_every_face_counts() -> None:
    """Derived: a box in the open catches on its front what the wind drives at it, and on its top the
    rain, however tall it is."""
    charts = Charts.of(Assembly((box((0, 0, 0), (0.5, 0.4, 2.0)),)))
    drops = in_wind(charts, 0.0)
    normal = charts.normals[drops.chart]

    def onto(chosen: NDArray[np.bool_]) -> tuple[float, float]:
        return fsum(drops.flow[chosen]), 3 * sqrt(fsum(drops.flow[chosen] ** 2))

    front, error = onto(normal[:, 1] < -0.5)
    assert front == pytest.approx(driving_rain(RAIN, WIND) * 0.5 * 2.0, abs=error)
    top, error = onto(normal[:, 2] > 0.5)
    assert top == pytest.approx(RAIN * 0.5 * 0.4, abs=error)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"wind_m_s": -1.0}, r"wind must be 0 to 120 m/s\. Got wind = -1\.0"),
        ({"wind_m_s": 500.0}, r"wind must be 0 to 120 m/s\. Got wind = 500\.0"),
        ({"wind_m_s": float("nan")}, "wind must be 0 to 120 m/s"),
        ({"slant": 0.3}, r"slant must be 0 in wind, which slants rain\. Got slant = 0\.3"),
        ({"from_angle": float("inf")}, "from_angle must be finite"),
        ({"wind_m_s": 110.0, "from_angle": np.pi}, "wind must be such that rain comes down"),
    ],
)
def test_impossible_wind_is_refused(change: dict[str, float], words: str) -> None:
    """Rule of the project: one clear line with the rule and the value. (In 110 m/s from behind no
    drop comes down on 60 degrees: 9.17 over 110 is flatter.)"""
    wanted = {"wind_m_s": 5.0} | change
    with pytest.raises(SceneError, match=words):
        rain(roof(60, boxed=False), 50, seed=1, rain_m_s=RAIN, **wanted)  # type: ignore[arg-type]
