"""Pointing: the chases are filled round the turn-ins, and no water runs over these into the stack."""

from __future__ import annotations

from math import radians
from typing import Any

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from meshes.build import build
from meshes.parts import Assembly, Part
from meshes.spec import Apron, BackGutter, Joint, Roof, Sides, Stack
from sim.charts import Charts
from sim.rain import place
from sim.trace import record, trace
from tests.meshes.crossings import cuts, cuts_itself, distances
from tests.meshes.details import ORDERS, detail

WIDTH, DEPTH = 0.59, 0.44
PIECES = ("front apron", "left side flashing", "right side flashing", "back gutter")
UPWARD = np.array([0.0, 0.0, 1.0])
NO_TURN_INS: dict[str, Any] = {
    "apron": Apron(turn_in=0.0),
    "sides": Sides(turn_in=0.0),
    "gutter": BackGutter(turn_in=0.0),
}


def stood(pitch: float = 40, *, pointed: bool = True, **changes: Any) -> Assembly:
    """The usual stack, its chases pointed or open."""
    stack = Stack(width=WIDTH, depth=DEPTH, height=1.4, pointed=pointed)
    return build(detail(pitch, stack=stack, **changes))


def in_the_wall(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """How deep points (n, 3) lie within the stack's plan, below nought outside [m]."""
    x = WIDTH / 2 - np.abs(points[:, 0])
    return np.minimum(x, np.minimum(points[:, 1], DEPTH - points[:, 1]))


def solid_at(part: Part, points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether points (n, 3) lie within a closed mesh: solid angles (van Oosterom, Strackee, 1983)."""
    a, b, c = np.moveaxis(part.vertices[part.faces][None] - points[:, None, None, :], 2, 0)
    la, lb, lc = (np.linalg.norm(v, axis=2) for v in (a, b, c))
    top = (a * np.cross(b, c)).sum(axis=2)
    low = la * lb * lc + (a * b).sum(axis=2) * lc + (b * c).sum(axis=2) * la
    angle = 2 * np.arctan2(top, low + (c * a).sum(axis=2) * lb).sum(axis=1)
    return np.abs(angle) > 2 * np.pi


def turn_in_points(part: Part) -> NDArray[np.float64]:
    """Random points on the lying faces of a piece, over 1 mm within the wall and clear of its stop."""
    corners = part.vertices[part.faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lying = np.abs(normals[:, 2]) > 0.3 * np.linalg.norm(normals, axis=1)
    weights = np.random.default_rng(2).dirichlet((1, 1, 1), size=100)
    points = (weights @ corners[lying]).reshape(-1, 3)
    points = points[in_the_wall(points) > 0.001]
    standing = Part(part.name, part.role, part.vertices, part.faces[~lying])
    return points[distances(points, standing) > 0.0002]


@pytest.mark.parametrize("joint", ["return", "fin"])
@pytest.mark.parametrize("order", ORDERS)
def test_only_turn_ins_run_into_a_pointed_stack(joint: Joint, order: str) -> None:
    """Exact geometry, at low and steep pitches: all four pieces run into the stack and nothing else;
    an apron without a turn-in stays out of it."""
    roomy: dict[str, Any] = {"covering": "interlocking", "joint": joint, "order": ORDERS[order]}
    for pitch, gap in ((17, 0.0005), (30, 0.001), (53, 0.0015)):
        made = stood(pitch, gap=gap, **roomy)
        part = made["stack"]
        assert trimesh.Trimesh(part.vertices, part.faces, process=False).is_watertight
        assert not cuts_itself(part)
        sheets = Assembly(tuple(made[name] for name in ("stack", *PIECES)))
        assert {name for pair in cuts(sheets) for name in pair} == {"stack", *PIECES}, pitch
        bare = stood(pitch, gap=gap, apron=Apron(turn_in=0.0), **roomy)
        assert cuts(Assembly((bare["stack"], bare["front apron"]))) == set(), pitch


@pytest.mark.parametrize("joint", ["return", "fin"])
@pytest.mark.parametrize("name", PIECES)
def test_the_filling_touches_the_turn_in_on_both_sides(name: str, joint: Joint) -> None:
    """Exact: solid from 0.01 mm above the sheet and below it; in an open chase, which is 12 mm tall and
    begins 3 mm below the bend, there is air for 5 mm above and 2 mm below."""
    made, open_ = (stood(joint=joint, pointed=pointed)["stack"] for pointed in (True, False))
    points = turn_in_points(stood(joint=joint)[name])
    assert len(points) > 50
    for up in (-0.002, -0.00001, 0.00001, 0.005):
        assert solid_at(made, points + up * UPWARD).all()
        assert not solid_at(open_, points + up * UPWARD).any()


def test_nothing_to_point_leaves_the_chase_open() -> None:
    """Derived: without turn-ins a pointed stack is the open one, to the last bit."""
    made, open_ = (stood(pointed=p, **NO_TURN_INS)["stack"] for p in (True, False))
    assert made.vertices.tobytes() == open_.vertices.tobytes()
    assert made.faces.tobytes() == open_.faces.tobytes()


def deepest(made: Assembly, place_at: NDArray[np.float64], push: tuple[float, ...]) -> float:
    """How deep in the wall [m] drops come that are pushed up a piece from where they are put."""
    charts = Charts.of(made, push)
    drops = place(charts, place_at, np.array([push[0], push[1], 0.0]))
    assert not np.isin(trace(charts, drops).fate, (0, 5)).any()
    return float(in_the_wall(record(charts, drops, np.arange(len(drops))).points).max())


@pytest.mark.parametrize("joint", ["return", "fin"])
@pytest.mark.parametrize("face", ["front", "right", "back"])
def test_water_driven_up_an_upstand_stays_out_of_the_wall(face: str, joint: Joint) -> None:
    """Exact: in an open chase it runs in along the turn-in, over its inner edge (25 mm in) and to the
    chase's back (35 mm in); pointed, it stays on the stack's face."""
    along = np.linspace(-0.8, 0.8, 81)
    rise = np.tan(radians(40))
    if face == "right":
        up = DEPTH / 2 + along * DEPTH / 2
        put, push = np.column_stack([0 * up + 0.6, up, up * rise + 0.07]), (-8.0, 0.0, 3.0)
    else:
        x, back = along * WIDTH / 2, face == "back"
        y, z = (DEPTH + 0.08, DEPTH * rise + 0.19) if back else (-0.5, 0.12)
        put, push = np.column_stack([x, 0 * x + y, 0 * x + z]), (0.0, -8.0 if back else 8.0, 3.0)
    assert deepest(stood(joint=joint, pointed=False), put, push) == pytest.approx(0.035, abs=1e-6)
    assert deepest(stood(joint=joint), put, push) < 1e-5


def test_a_pointed_chase_is_the_default() -> None:
    """Practice: a chase is filled once the turn-in is wedged in; an open one is a fault."""
    assert Stack(width=WIDTH, depth=DEPTH).pointed
    made = build(detail(40, roof=Roof(pitch=radians(40))))
    assert solid_at(made["stack"], turn_in_points(made["front apron"]) + 0.002 * UPWARD).all()
