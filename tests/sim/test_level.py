"""Water on level creases: how it divides between their outlets, and that it keeps to its way.

Shares of n drops are held to what is derived within four standard errors, 4 sqrt(p (1 - p) / n): the
draws are the same at each run, so a right tracer fails none of them by chance later.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal
from numpy.typing import NDArray
from scipy.sparse.csgraph import dijkstra

from meshes.parts import Assembly, Part, Role
from sim.charts import Charts
from sim.divide import nearer_share
from sim.events import Event
from sim.fates import Fate
from sim.ground import Ground
from sim.level import ways_out
from sim.ponds import Ponds
from sim.rain import Drops, place
from sim.spills import Spills
from sim.trace import record, trace
from tests.sim.bed_film import film_on_a_level_bed
from tests.sim.hollows import basin
from tests.sim.shapes import DOWN, Points, in_four, mapped, sheet, turned

Floats = NDArray[np.float64]
COUNT = 4000
BENT = np.array([(-1.0, 0.0), (-0.4, 0.3), (0.1, 0.1), (0.2, 0.6), (1.0, 0.5)])
"""A level valley with four turns, in plan, open at both ends."""
ROUND = [(-1, -1), (0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0)]
"""Round a place of a grid, anticlockwise."""
LEGS = np.linalg.norm(np.diff(BENT, axis=0), axis=1)


def trough(cuts: tuple[float, ...] = (-1, 1)) -> Assembly:
    """z = |x|: level along y, open at its least and its greatest y."""
    return Assembly((sheet(lambda x, y: abs(x) + 0 * y, [-1, 0, 1], cuts),))


def bent(line: Points = BENT) -> Assembly:
    """A valley along a line (k, 2) at height 0, both sides rising to 0.2 in 0.4 along y."""
    count = len(line)
    rows = [
        np.column_stack([line + np.array([0, off]), np.full(count, abs(off) / 2)])
        for off in (-0.4, 0, 0.4)
    ]
    faces = []
    for row in (0, count):
        for k in range(row, row + count - 1):
            faces += [(k, k + 1, count + k + 1), (k, count + k + 1, count + k)]
    return Assembly((Part("valley", Role.COVERING, np.vstack(rows), np.array(faces)),))


def fed(charts: Charts, points: object, count: int = COUNT) -> Drops:
    """So many drops at each of the points (n, 3), or at one."""
    return place(charts, np.repeat(np.atleast_2d(np.asarray(points, float)), count, axis=0), DOWN)


def close(share: float, expected: float, count: int = COUNT) -> None:
    """Within four standard errors of so many drops."""
    assert abs(share - expected) <= 4 * np.sqrt(expected * (1 - expected) / count) + 1e-12


@pytest.mark.parametrize("y", [-0.9, -0.5, -0.2, 0.0, 0.35, 0.8])
@pytest.mark.parametrize("cuts", [(-1, 1), (-1, 0.9, 0.95, 1), (-1, -0.999, -0.9, -0.1, 1)])
def test_water_divides_by_the_distance_to_the_other_end(y: float, cuts: tuple[float, ...]) -> None:
    """Derived: of water fed to a level film a from one end and b from the other, b / (a + b) goes to the
    first (h^4 is linear); however the trough is cut."""
    charts = Charts.of(trough(cuts))
    got = trace(charts, fed(charts, (0.3, y, 5)))
    assert (got.fate == Fate.SHED).all()
    assert_allclose(abs(got.end[:, 1]), 1.0, atol=1e-3)
    close(float((got.end[:, 1] < 0).mean()), (1 - y) / 2)


def test_an_even_feed_divides_in_halves() -> None:
    """Derived: by symmetry half of an even feed leaves at each end."""
    charts = Charts.of(trough())
    y = np.linspace(-1, 1, 2 * COUNT + 1)[1:-1:2]
    got = trace(charts, place(charts, np.column_stack([0 * y + 0.3, y, 0 * y + 5]), DOWN))
    close(float((got.end[:, 1] < 0).mean()), 0.5)


def test_an_uneven_feed_divides_as_the_film_s_own_equation_has_it() -> None:
    """Against another computation: finite volumes of h under the same feed, twice as much near one end as
    in the middle and none beyond; 0.4 % more for their coarseness at the ends (1/201 of the length)."""
    nodes = (np.arange(200) + 1) / 201
    feed = np.select([nodes < 0.25, nodes < 0.6], [2e-5, 1e-5], 0.0)
    _, flow = film_on_a_level_bed(feed, 1.0)
    number = np.round(feed / 1e-5).astype(int) * 40
    y = np.repeat(2 * nodes - 1, number)
    charts = Charts.of(trough())
    got = trace(charts, place(charts, np.column_stack([0 * y - 0.2, y, 0 * y + 5]), DOWN))
    to_low, of_all = float((got.end[:, 1] < 0).mean()), float(-flow[0] / (flow[-1] - flow[0]))
    assert abs(to_low - of_all) < 0.004 + 4 * np.sqrt(of_all * (1 - of_all) / len(y))


@pytest.mark.parametrize("at", [0.3, 0.9, 1.7])
def test_water_divides_along_a_bent_chain_and_does_not_turn_back(at: float) -> None:
    """Derived: distances count along the valley, round its turns; a drop passes each corner of its way
    once, towards its end."""
    charts = Charts.of(bent())
    along = np.concatenate([[0.0], np.cumsum(LEGS)])
    x, y = (np.interp(at, along, BENT[:, k]) for k in (0, 1))
    drops = fed(charts, (x, y + 1e-5, 5))
    got = trace(charts, drops)
    close(float((got.end[:, 0] < 0).mean()), 1 - at / along[-1])
    rows = np.arange(0, COUNT, 50)
    paths = record(charts, drops, rows)
    turns = (along > 0) & (along < along[-1])
    for first, last in zip(paths.start[:-1], paths.start[1:], strict=True):
        slides = first + np.flatnonzero(paths.kind[first:last] == Event.SLID)
        began, ended = paths.points[slides[0]], paths.points[last - 1]
        # The turns' corners are met in order, each once, none of them on the other side.
        ahead = along > at if ended[0] > began[0] else along < at
        wanted = BENT[turns & ahead][:: 1 if ended[0] > began[0] else -1]
        assert_allclose(paths.points[slides[1:], :2], wanted, atol=1e-9)


CHANGES = {
    "mirror": lambda p: p * [-1, 1, 1],
    "mirror along": lambda p: p * [1, -1, 1],
    "turn": lambda p: turned(p, 0.7),
}


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("shape", [trough((-1, 0.3, 1)), bent()], ids=["trough", "bent"])
def test_each_drop_takes_the_mirrored_way_in_a_mirror(change: str, shape: Assembly) -> None:
    """Derived: nearer and farther know no left or right; drop by drop, ends within 1 um."""
    vector = CHANGES[change]
    start = np.random.default_rng(3).uniform([-0.9, -0.9, 5], [0.9, 0.9, 5], (2000, 3))
    ends = []
    for moved in (False, True):
        here = mapped(shape, vector, flip="mirror" in change) if moved else shape
        charts = Charts.of(here)
        drops = place(charts, vector(start) if moved else start, DOWN)
        ends.append(trace(charts, drops).end)
    assert_allclose(ends[1], vector(ends[0]), atol=1e-6)


def test_finer_triangles_change_no_drop_s_way() -> None:
    """Invariance: each triangle in four, twice; drop by drop."""
    start = np.random.default_rng(4).uniform([-0.9, -0.3, 5], [0.9, 0.9, 5], (2000, 3))
    charts = [Charts.of(some) for some in (bent(), in_four(in_four(bent())))]
    plain, fine = (trace(some, place(some, start, DOWN)).end for some in charts)
    assert_allclose(fine, plain, atol=1e-6)


def test_a_drop_s_way_is_its_own() -> None:
    """Invariance: the same bytes on one and two threads, alone, among others, in another order; and a
    record ends where the trace does."""
    charts = Charts.of(bent())
    start = np.random.default_rng(5).uniform([-0.9, -0.3, 5], [0.9, 0.9, 5], (3000, 3))
    drops = replace(place(charts, start, DOWN), seed=7)
    whole = trace(charts, drops, threads=1)
    assert trace(charts, drops, threads=2).end.tobytes() == whole.end.tobytes()
    rows = np.random.default_rng(6).permutation(len(drops))[:500]
    some = Drops(
        drops.points[rows], drops.chart[rows], drops.where[rows], drops.flow[rows],
        drops.drop[rows], drops.released, drops.seed,
    )  # fmt: skip
    assert trace(charts, some).end.tobytes() == whole.end[rows].tobytes()
    for chosen in (rows, rows[:1]):
        paths = record(charts, drops, chosen)
        assert_allclose(paths.points[paths.start[1:] - 1], whole.end[chosen], atol=1e-12)
        assert_array_equal(paths.chart[paths.start[1:] - 1], whole.end_chart[chosen])
    other = trace(charts, replace(drops, seed=8))
    assert (other.end[:, 0] * whole.end[:, 0] < 0).any()


def test_luck_at_one_trough_says_nothing_of_the_next_nor_after_a_pond() -> None:
    """Derived: shares multiply. Of what is fed at y = -1 two thirds leave at y = 0, into a basin, and
    spill at x = 0 into a trough 1 and 3 long from there; the rest falls into another such trough."""
    upper = sheet(lambda x, y: 0.5 * abs(x) + 1 + 0 * y, [-1, 0, 1], [-3, 0], name="upper")
    lower = [
        sheet(lambda x, y, at=at: abs(y - at) - 3 + 0 * x, [-1, 3], [at - 1, at, at + 1], name=str(at))
        for at in (-0.4, -3.0)
    ]  # fmt: skip
    ground = Ground.of(Assembly((upper, basin(), *lower)))
    charts = Charts.on(ground, onward=Spills(Ponds.of(Charts.on(ground))))
    drops = fed(charts, (0.3, -1.0, 5))
    got = trace(charts, drops)
    assert (got.fate == Fate.SHED).all()
    names = charts.surface.part_names
    pond = got.touched(names.index("basin"))
    assert_array_equal(got.touched(names.index("-3.0")), ~pond)
    close(float(pond.mean()), 2 / 3)
    for some in (pond, ~pond):
        close(float((got.end[some, 0] < 0).mean()), 0.75, int(some.sum()))
    paths = record(charts, drops, np.arange(0, COUNT, 40))
    assert_allclose(paths.points[paths.start[1:] - 1], got.end[::40], atol=1e-12)


def test_where_valleys_cross_water_goes_on_by_the_nearest_other_way() -> None:
    """By the rule of the module: two level valleys cross at the origin; what comes to it along one arm
    goes on to the nearest end of another, and distances count that way."""
    cross = sheet(lambda x, y: np.minimum(abs(x), abs(y)) / 2, [-1.0, 0, 1.2], [-0.8, 0, 1.5])
    charts = Charts.of(Assembly((cross,)))
    got = trace(charts, fed(charts, (0.5, 0.05, 5)))
    assert (got.fate == Fate.SHED).all()
    on = (got.end[:, 0] > 1.19, got.end[:, 1] < -0.79)
    assert (on[0] | on[1]).all()
    close(float(on[0].mean()), (0.5 + 0.8) / 2.0)


def test_among_crossing_valleys_no_drop_comes_by_a_place_twice() -> None:
    """Derived: between 6 by 5 pyramids of equal foot all valleys are level and all inner corners cross;
    every drop leaves at a border, by no more corners than there are, none of them twice."""
    x, y = np.linspace(0, 1.3, 13), np.linspace(0, 0.9, 11)

    def height(xs: Floats, ys: Floats) -> Floats:
        peak = (np.isin(xs, x[1::2])) & (np.isin(ys, y[1::2]))
        return np.where(peak, 0.1, 0.0)

    flat = sheet(height, x, y)
    quads = flat.faces.reshape(-1, 6)
    assert len(quads) == 120
    tops = [(i, j) for j in range(1, 11, 2) for i in range(1, 13, 2)]
    faces = [
        (j * 13 + i, (j + a[1]) * 13 + i + a[0], (j + b[1]) * 13 + i + b[0])
        for i, j in tops
        for a, b in zip(ROUND, ROUND[1:] + ROUND[:1], strict=True)
    ]
    net = Assembly((Part("net", Role.COVERING, flat.vertices, np.array(faces)),))
    charts = Charts.of(net)
    start = np.random.default_rng(9).uniform([0.05, 0.05, 5], [1.25, 0.85, 5], (800, 3))
    drops = place(charts, start, DOWN)
    got = trace(charts, drops)
    assert (got.fate == Fate.SHED).all()
    paths = record(charts, drops, np.arange(len(drops)))
    for first, last in zip(paths.start[:-1], paths.start[1:], strict=True):
        slid = paths.points[first:last][paths.kind[first:last] == Event.SLID]
        assert len(np.unique(np.round(slid, 6), axis=0)) == len(slid)


def network(seed: int, *, spare: int) -> tuple[NDArray[np.int64], Floats, NDArray[np.bool_]]:
    """A random tree of 30 nodes with so many creases more: nodes at their ends (c, 2), lengths (c,), and
    which nodes (30,) are outlets, 2 or 3."""
    rng = np.random.default_rng(seed)
    tree = [(k, int(rng.integers(max(0, k - 3), k))) for k in range(1, 30)]
    more = [tuple(rng.choice(30, 2, replace=False)) for _ in range(spare)]
    ends = np.array(list(dict.fromkeys(tuple(sorted(map(int, pair))) for pair in tree + more)))
    outlet = np.zeros(30, bool)
    outlet[rng.choice(30, rng.integers(2, 4), replace=False)] = True
    return ends, rng.uniform(0.1, 1.0, len(ends)), outlet


@pytest.mark.parametrize("spare", [0, 6])
@pytest.mark.parametrize("seed", range(12))
def test_ways_out_of_a_network(seed: int, spare: int) -> None:
    """Against another computation (shortest paths of scipy): the nearest outlet, and in a tree also the
    nearest by another crease, that of the network without the node; runs that follow each other add up
    to what is told, end at an outlet and come by no node twice."""
    ends, length, outlet = network(seed, spare=spare)
    start, far = ways_out(np.arange(len(ends)), ends, length, outlet)
    for node in range(30):
        if outlet[node]:
            assert_array_equal(start[node], -1)
            continue
        everywhere = to_outlets(ends, length, outlet, None)
        assert far[node, 0] == pytest.approx(everywhere[node])
        others = to_outlets(ends, length, outlet, node)
        beyond = [
            length[k] + others[a + b - node]
            for k, (a, b) in enumerate(ends)
            if node in (a, b) and (start[node, 0] < 0 or k != start[node, 0] // 2)
        ]
        if spare == 0:
            assert far[node, 1] == pytest.approx(min(beyond, default=np.inf))
        else:
            assert far[node, 1] >= min(beyond, default=np.inf) - 1e-12
        for run, told in zip(start[node], far[node], strict=True):
            assert (run < 0) == np.isinf(told)
            seen, size = [node], 0.0
            while run >= 0:
                size += length[run // 2]
                seen.append(int(ends[run // 2, run % 2]))
                first, second = start[seen[-1]]
                run = second if first // 2 == run // 2 else first
            if np.isfinite(told):
                assert size == pytest.approx(told)
                assert outlet[seen[-1]]
                assert len(set(seen)) == len(seen)


def to_outlets(
    ends: NDArray[np.int64], length: Floats, outlet: NDArray[np.bool_], without: int | None
) -> Floats:
    """From every node (k,) the least way to an outlet that passes no other outlet [m], with a node left
    out; inf: there is none."""
    count = len(outlet)
    keep = ~(ends == (-1 if without is None else without)).any(axis=1)
    a, b = ends[keep].T
    graph = np.zeros((count + 1, count + 1))
    for one, other, size in zip(a, b, length[keep], strict=True):
        for here, there in ((one, other), (other, one)):
            if not outlet[here]:
                to = count if outlet[there] else there
                graph[here, to] = min(size, graph[here, to]) if graph[here, to] else size
    found = np.array(dijkstra(graph.T, indices=count)[:count])
    found[outlet] = 0.0
    return found


@pytest.mark.parametrize("seed", range(6))
def test_shares_are_harmonic_where_nothing_branches_but_dead_ends(seed: int) -> None:
    """Against another computation: the function of a tree with two outlets that is 1 at one, 0 at the
    other and at every node the mean of its neighbours, by the inverse of their distances."""
    ends, length, _ = network(seed, spare=0)
    outlet = np.zeros(30, bool)
    outlet[[0, 29]] = True
    start, far = ways_out(np.arange(len(ends)), ends, length, outlet)
    pull = np.zeros((30, 30))
    for (a, b), size in zip(ends, length, strict=True):
        pull[a, b] = pull[b, a] = 1 / size
    laplace = np.diag(pull.sum(axis=1)) - pull
    laplace[outlet] = np.eye(30)[outlet]
    to_first = np.linalg.solve(laplace, np.eye(30)[0])
    for node in np.flatnonzero(~outlet & (start[:, 1] >= 0)):
        share = nearer_share(far[node, 0], far[node, 1])
        run, at = start[node, 0], node
        while not outlet[at]:
            at = ends[run // 2, run % 2]
            run = start[at, 1] if start[at, 0] // 2 == run // 2 else start[at, 0]
        assert (share if at == 0 else 1 - share) == pytest.approx(to_first[node])
    assert (start[:, 1] >= 0).sum() > 3


def test_no_way_turns_back_in_a_ring_that_hangs_on_a_chain() -> None:
    """By construction: outlet 0, a chain to 2, and a ring of 2, 3 and 4; nothing but 0 to go to."""
    ends = np.array([(0, 1), (1, 2), (2, 3), (3, 4), (4, 2)])
    outlet = np.arange(5) == 0
    _, far = ways_out(np.arange(5), ends, np.ones(5), outlet)
    assert_array_equal(np.isfinite(far), [[0, 0], [1, 0], [1, 0], [1, 1], [1, 1]])
    assert_array_equal(far[3:], [[3, 4], [3, 4]])
