"""Parts that differ: how far they moved, and what became of them."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.parts import Assembly, Part, Role
from scenes.compare_parts import is_another_stack, marked, part_changes
from scenes.compare_surface import apart, area, distance_to, elsewhere, turned_over

SQUARE = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], dtype=float)
TWO = np.array([[0, 1, 2], [0, 2, 3]])
QUIETLY = settings(derandomize=True, phases=(Phase.explicit, Phase.generate), deadline=None)


def _sheet(
    name: str = "sheet", role: Role = Role.FLASHING, *, size=(1.0, 1.0), at=(0, 0, 0)
) -> Part:
    return Part(name, role, SQUARE * (*size, 1.0) + np.array(at, dtype=float), TWO)


def _changes(one: list[Part], two: list[Part]):
    return part_changes(Assembly(tuple(one)), Assembly(tuple(two)))


@given(seed=st.integers(0, 10_000))
@QUIETLY
def test_distances_agree_with_an_outside_library(seed: int) -> None:
    """Outside library: trimesh's closest point on a triangle, the least over all triangles."""
    rng = np.random.default_rng(seed)
    triangles, points = rng.normal(size=(5, 3, 3)), 2 * rng.normal(size=(7, 3))
    closest = [trimesh.triangles.closest_point(triangles, np.tile(p, (5, 1))) for p in points]
    away = np.linalg.norm(np.array(closest) - points[:, None], axis=2)
    distance, which = distance_to(triangles, points)
    assert distance == pytest.approx(away.min(axis=1), abs=1e-9)
    assert away[np.arange(7), which] == pytest.approx(away.min(axis=1), abs=1e-9)


@given(lift=st.floats(0.001, 0.5), longer=st.floats(0.001, 2.0))
@QUIETLY
def test_a_lifted_sheet_and_a_longer_one(lift: float, longer: float) -> None:
    """Exact geometry: a sheet lifted by h lies h away; one longer by l reaches l beyond, and its area
    grows by l times its breadth."""
    flat = SQUARE[TWO]
    lifted = flat + np.array([0, 0, lift])
    assert apart(flat, lifted) == pytest.approx(lift)
    (row,) = _changes([_sheet()], [_sheet(size=(1 + longer, 1))])
    assert row.how == "moved"
    assert row.moved == pytest.approx(longer)
    assert row.area_second - row.area_first == pytest.approx(longer)
    assert len(elsewhere(flat, lifted, lift / 2)) == 2
    assert len(elsewhere(flat, lifted, lift * 2)) == 0


def test_the_same_surface_in_other_triangles_has_not_moved() -> None:
    """Exact geometry: the other diagonal is the same square; turned over it is told of."""
    other = Part("sheet", Role.FLASHING, SQUARE, np.array([[0, 1, 3], [1, 2, 3]]))
    assert _changes([_sheet()], [other]) == ()
    over = Part("sheet", Role.FLASHING, SQUARE, TWO[:, ::-1])
    (row,) = _changes([_sheet()], [over])
    assert (row.how, row.moved) == ("turned over", pytest.approx(0, abs=1e-9))
    assert turned_over(SQUARE[TWO], SQUARE[TWO[:, ::-1]])
    assert area(SQUARE[TWO]) == pytest.approx(1)


def test_parts_that_only_one_scene_has_come_first() -> None:
    """Derived: what is missing or new counts before what moved, and what moved most before the rest."""
    one = [_sheet("a"), _sheet("b"), _sheet("gone")]
    two = [_sheet("a", at=(0, 0, 0.02)), _sheet("b", at=(0, 0, 0.5)), _sheet("new")]
    rows = _changes(one, two)
    assert [(row.name, row.how) for row in rows] == [
        ("gone", "gone"), ("new", "new"), ("b", "moved"), ("a", "moved"),
    ]  # fmt: skip
    assert rows[0].row()["moved_mm"] is None
    assert rows[2].row()["moved_mm"] == pytest.approx(500)
    assert (rows[0].area_second, rows[1].area_first) == (0, 0)


def test_what_a_picture_marks() -> None:
    """Derived: sheets before the underlay before the rest, and nothing that only dressing lifted while
    something else moved far."""
    far, near = (0, 0, 0.1), (0, 0, 0.002)

    def named(*moved: tuple[str, Role, tuple[float, float, float]]) -> tuple[str, ...]:
        one = [_sheet(name, role) for name, role, _ in moved]
        two = [_sheet(name, role, at=at) for name, role, at in moved]
        return marked(_changes(one, two))

    sheet, felt, tiles = Role.FLASHING, Role.UNDERLAY, Role.COVERING
    assert named(("a", sheet, far), ("b", sheet, near), ("c", felt, far)) == ("a",)
    assert named(("a", sheet, near), ("c", felt, far), ("d", tiles, far)) == ("c",)
    assert named(("a", sheet, near), ("d", tiles, near)) == ("a",)
    assert named(("d", tiles, near)) == ("d",)
    assert named(("a", sheet, (0, 0, 0))) == ()


def test_another_stack_is_noticed() -> None:
    """Derived: by the part whose role is stack."""
    moved = _changes([_sheet(role=Role.STACK)], [_sheet(role=Role.STACK, at=(0.1, 0, 0))])
    assert is_another_stack(moved)
    assert not is_another_stack(_changes([_sheet()], [_sheet(at=(0.1, 0, 0))]))
