"""Paths with exact answers: derived from plane geometry, nothing else."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from meshes.errors import SceneError
from meshes.parts import Assembly, Part, Role
from sim.charts import Charts
from sim.events import Event
from sim.fates import Fate
from sim.rain import place
from sim.tolerances import NUDGE, STANDOFF
from sim.trace import Trace, record, trace
from tests.sim.shapes import DOWN, Points, pitched, sheet, strip, turned

CLOSE = 1e-9  # rounding of coordinates of a few metres, with a wide margin [m]
EDGE = STANDOFF + 2 * NUDGE  # a fall begins this near to the rim it leaves, at most [m]


def follow(
    parts: tuple[Part, ...], points: object, drive: tuple[float, ...] = (0, 0, -9.8)
) -> Trace:
    """Put drops down from above and trace them."""
    charts = Charts.of(Assembly(parts), drive)
    return trace(charts, place(charts, points, DOWN))


def path(parts: tuple[Part, ...], point: tuple[float, ...]) -> tuple[Points, list[Event]]:
    """Points and events of one drop put down from above."""
    charts = Charts.of(Assembly(parts))
    kept = record(charts, place(charts, point, DOWN), np.array([0]))
    return kept.points, [Event(kind) for kind in kept.kind]


@pytest.mark.parametrize("turn", [0.0, 0.5, 2.0])
@pytest.mark.parametrize("cells", [1, 7])
def test_on_a_plane_water_runs_down_the_steepest_way(turn: float, cells: int) -> None:
    """Derived: a plane that rises along y sheds at its lower rim, x unchanged; so does a turned one."""
    roof = sheet(pitched(30), np.linspace(-1, 1, cells + 1), np.linspace(0, 2, cells + 1))
    start = np.array([[0.317, 1.7, 5.0], [-0.71, 0.3, 5.0]])
    turned_roof = Part("roof", Role.COVERING, turned(roof.vertices, turn), roof.faces)
    got = follow((turned_roof,), turned(start, turn))
    assert (got.fate == Fate.SHED).all()
    back = turned(got.end, -turn)
    assert_allclose(back[:, 0], start[:, 0], atol=CLOSE)
    assert_allclose(back[:, 1], 0.0, atol=EDGE)


def test_a_valley_gathers_water_and_leads_it_along_itself() -> None:
    """Derived: on z = a |x| + b y a drop at (x, y) meets the valley at y - |x| b / a and leaves at x = 0."""
    a, b = 0.5, 0.3
    roof = sheet(lambda x, y: a * abs(x) + b * y, [-1, 0, 1], np.linspace(-2, 2, 6))
    for x in (0.4, -0.25):
        points, events = path((roof,), (x, 1.3, 5))
        slides = [k for k, event in enumerate(events) if event == Event.SLID]
        assert_allclose(points[slides[0]], [0, 1.3 - abs(x) * b / a, b * 1.3 - abs(x) * b * b / a],
                        atol=CLOSE)  # fmt: skip
        assert_allclose(points[slides[-1] + 1 :, 0], 0.0, atol=EDGE)
        assert_allclose(points[-1, 1], -2.0, atol=EDGE)


@pytest.mark.parametrize("cuts", [[-1, 1], [-1, 0.9, 0.95, 1], [-1, -0.999, -0.9, -0.1, 1]])
def test_a_level_trough_empties_to_its_ends_however_it_is_cut(cuts: list[float]) -> None:
    """Derived: z = |x| is level along y, open at both ends; how it divides: `test_level.py`."""
    roof = sheet(lambda x, y: abs(x) + 0 * y, [-1, 0, 1], cuts)
    y = np.array([-0.98, -0.5, -0.001, 0.001, 0.5, 0.92, 0.98])
    got = follow((roof,), np.column_stack([np.full(7, 0.3), y, np.full(7, 5)]))
    assert (got.fate == Fate.SHED).all()
    assert_allclose(abs(got.end[:, 1]), 1.0, atol=EDGE)
    assert_allclose(got.end[:, 0], 0.0, atol=EDGE)


def test_a_level_trough_shut_at_one_end_empties_to_the_other() -> None:
    """Derived: an end wall at y = 1 leaves only the outlet at y = -1."""
    trough = sheet(lambda x, y: abs(x) + 0 * y, [-1, 0, 1], [-1, 0.5, 1])
    wall = np.array([[-1, 1, 1], [0, 1, 0], [1, 1, 1], [0, 1, 2]], float)
    vertices = np.concatenate([trough.vertices, wall])
    n = len(trough.vertices)
    faces = np.concatenate([trough.faces, [[n, n + 1, n + 3], [n + 1, n + 2, n + 3]]])
    got = follow(
        (Part("trough", Role.COVERING, vertices, faces),), [(0.2, 0.9, 5), (-0.2, -0.9, 5)]
    )
    assert (got.fate == Fate.SHED).all()
    assert_allclose(got.end[:, 1], -1.0, atol=EDGE)


def test_a_level_ring_holds_its_water() -> None:
    """Derived: round a cone in a bowl the crease is level and closed: there is no outlet."""
    angle = np.linspace(0, 2 * np.pi, 13)[:-1]
    ring = np.column_stack([np.cos(angle), np.sin(angle), 0 * angle])
    rim = np.column_stack([2 * np.cos(angle), 2 * np.sin(angle), 0 * angle + 1])
    vertices = np.concatenate([[[0, 0, 1]], ring, rim])
    faces = []
    for k in range(12):
        a, b = 1 + k, 1 + (k + 1) % 12
        faces += [(0, a, b), (a, a + 12, b + 12), (a, b + 12, b)]
    bowl = Part("bowl", Role.COVERING, vertices, np.array(faces))
    got = follow((bowl,), [(0.3, 0.1, 5), (1.5, 0.2, 5)])
    assert (got.fate == Fate.HELD).all()
    # Chords of the unit circle over 12 parts lie between cos 15 degrees and 1 from the middle.
    radius = np.linalg.norm(got.end[:, :2], axis=1)
    assert ((radius >= np.cos(np.pi / 12) - CLOSE) & (radius <= 1 + CLOSE)).all()


def test_a_pit_holds_water_at_its_bottom() -> None:
    """Derived: z = max(|x|, |y|) falls to the origin from everywhere."""
    pit = sheet(lambda x, y: np.maximum(abs(x), abs(y)), [-1, 0, 1], [-1, 0, 1])
    got = follow((pit,), [(0.3, 0.1, 5), (-0.2, -0.7, 5), (0.0, 0.5, 5)])
    assert (got.fate == Fate.HELD).all()
    assert_allclose(got.end, 0.0, atol=CLOSE)


def test_a_tray_with_upright_walls_holds_water_at_its_corner() -> None:
    """Derived: a floor that falls to one corner between two upright walls has no way out there."""
    floor = [(0, 0, 0), (1, 0, 0.2), (1, 1, 0.4), (0, 1, 0.2)]
    top = [(0, 0, 1), (1, 0, 1), (0, 1, 1)]
    faces = [(0, 1, 2), (0, 2, 3), (0, 4, 5), (0, 5, 1), (0, 3, 6), (0, 6, 4)]
    tray = Part("tray", Role.COVERING, np.array(floor + top, float), np.array(faces))
    got = follow((tray,), [(0.5, 0.4, 5), (0.2, 0.7, 5)])
    assert (got.fate == Fate.HELD).all()
    assert_allclose(got.end, 0.0, atol=CLOSE)


def test_water_drips_from_a_rim_onto_what_lies_straight_below() -> None:
    """Derived: it falls from the upper sheet's lower rim, at the same x and y, onto the lower sheet."""
    upper = sheet(lambda x, y: 1 + 0.5 * y, [-1, 1], [0, 1], name="upper")
    lower = sheet(lambda x, y: 0.5 * y, [-1, 1], [-1, 1], name="lower")
    points, events = path((upper, lower), (0.3, 0.8, 5))
    fell = events.index(Event.FELL)
    assert events[fell + 1] == Event.LANDED
    assert_allclose(points[fell], [0.3, 0, 1], atol=CLOSE)
    assert_allclose(points[fell + 1], [0.3, 0, 0], atol=EDGE)
    got = follow((upper, lower), (0.3, 0.8, 5))
    assert got.parts_touched[0] == 0b11
    assert got.falls[0] == 2


def test_water_runs_round_a_bend_that_leads_it_away() -> None:
    """Derived: over the bend down a hanging leg it clings, and drips from the leg's foot."""
    apron = strip([(1, 1), (0, 0.5), (0, -0.2)], along=1, name="apron", role=Role.FLASHING)
    points, events = path((apron,), (0.1, 0.6, 5))
    fell = events.index(Event.FELL)
    assert Event.LANDED not in events[1:]
    assert_allclose(points[fell], [0.1, 0, -0.2], atol=CLOSE)


def test_water_drips_at_a_bend_whose_next_leg_pushes_back() -> None:
    """Derived: a leg folded back under falls towards the bend, so water leaves at the bend."""
    hem = strip([(1, 1), (0, 0.5), (0.4, 0.6)], along=1, name="hem", role=Role.FLASHING)
    points, events = path((hem,), (0.1, 0.6, 5))
    assert_allclose(points[events.index(Event.FELL)], [0.1, 0, 0.5], atol=CLOSE)


def test_water_stays_on_an_underside_that_leads_away() -> None:
    """Derived: a leg folded back and down leads water inward on its underside to its lower rim."""
    drip = strip([(1, 1), (0, 0.5), (0.4, 0.2)], along=1, name="drip", role=Role.FLASHING)
    points, events = path((drip,), (0.1, 0.6, 5))
    assert_allclose(points[events.index(Event.FELL)], [0.1, 0.4, 0.2], atol=CLOSE)


def test_a_level_top_holds_and_a_level_underside_lets_go() -> None:
    """Derived: with no drive along it, a face that faces up keeps its water and one that faces down not."""
    plate = sheet(lambda x, y: 0 * x, [-1, 1], [-1, 1])
    charts = Charts.of(Assembly((plate,)))
    above = trace(charts, place(charts, (0.2, 0.3, 1), (0, 0, -1)))
    below = trace(charts, place(charts, (0.2, 0.3, -1), (0, 0, 1)))
    assert above.fate[0] == Fate.HELD
    assert below.fate[0] == Fate.SHED
    assert_allclose(below.end[0, :2], [0.2, 0.3], atol=CLOSE)


@pytest.mark.parametrize(
    ("role", "fate"),
    [(Role.UNDERLAY, Fate.UNDERLAY), (Role.INSIDE, Fate.INSIDE), (Role.FLASHING, Fate.SHED)],
)
def test_the_part_below_decides_the_fate(role: Role, fate: Fate) -> None:
    """Practice of the project: underlay catches, inside ends the journey at once."""
    upper = sheet(lambda x, y: 1 + 0.5 * y, [-1, 1], [0, 1], name="upper")
    lower = sheet(lambda x, y: 0.5 * y, [-1, 1], [-1, 1], name="lower", role=role)
    got = follow((upper, lower), (0.3, 0.8, 5))
    assert got.fate[0] == fate
    if fate == Fate.INSIDE:
        assert_allclose(got.end[0], [0.3, 0, 0], atol=EDGE)


def test_paths_aimed_at_corners_and_along_edges_come_out_below() -> None:
    """Derived: on a finely cut plane, drops put exactly on corners and edges run straight down too."""
    cells = np.linspace(-1, 1, 9)
    roof = sheet(pitched(40), cells, cells + 1)
    x, y = (
        a.ravel() for a in np.meshgrid(np.linspace(-0.75, 0.75, 25), np.linspace(0.25, 1.75, 25))
    )
    got = follow((roof,), np.column_stack([x, y, np.full(len(x), 9)]))
    assert (got.fate == Fate.SHED).all()
    assert_allclose(got.end[:, 0], x, atol=CLOSE)


def test_a_drive_that_leans_takes_paths_and_falls_with_it() -> None:
    """Derived: on a level plate a drive (1, 0, -2) runs to +x, and then falls 2 down for 1 across."""
    plate = sheet(lambda x, y: 0 * x + 1.0, [-1, 1], [-1, 1], name="plate")
    floor = sheet(lambda x, y: 0 * x, [-4, 4], [-1, 1], name="floor")
    charts = Charts.of(Assembly((plate, floor)), (1, 0, -2))
    kept = record(charts, place(charts, (0.3, 0.2, 2), DOWN), np.array([0]))
    fell = list(kept.kind).index(Event.FELL)
    assert_allclose(kept.points[fell], [1, 0.2, 1], atol=CLOSE)
    assert_allclose(kept.points[fell + 1], [1.5, 0.2, 0], atol=EDGE)


def test_a_record_is_the_same_walk() -> None:
    """Derived: a record ends where the trace ends, with one piece for each event of it."""
    roof = sheet(lambda x, y: 0.5 * abs(x) + 0.3 * y, [-1, 0, 1], np.linspace(-2, 2, 6))
    charts = Charts.of(Assembly((roof,)))
    points = np.random.default_rng(4).uniform([-1, -2, 5], [1, 2, 5], (200, 3))
    drops = place(charts, points, DOWN)
    whole, rows = trace(charts, drops), np.arange(10, 200, 7)
    kept = record(charts, drops, rows)
    last = kept.start[1:] - 1
    assert len(kept) == len(rows)
    assert_allclose(kept.points[kept.start[:-1]], drops.points[rows], atol=CLOSE)
    assert_allclose(kept.points[last], whole.end[rows], atol=CLOSE)
    assert (kept.kind[last] == Event.ENDED).all()
    assert (kept.chart[last] == whole.end_chart[rows]).all()


@pytest.mark.parametrize("drive", [(0, 0, 0), (0, 0, float("nan")), (1, 2)])
def test_a_drive_that_is_none_is_refused(drive: tuple[float, ...]) -> None:
    """Rule of the project: one clear line."""
    with pytest.raises(SceneError, match="drive must be"):
        Charts.of(Assembly((sheet(pitched(30), [0, 1], [0, 1]),)), drive)
