"""The stack: closed, shedding outward at the top, with chases that the turn-ins enter."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from meshes.build import build
from meshes.spec import Apron, Sides, Stack
from tests.meshes.details import detail


def test_stack_is_closed_and_its_capping_sheds_outward() -> None:
    """Every face of the top falls away from the middle of the stack: exact geometry."""
    part = build(detail(40))["stack"]
    mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
    assert mesh.is_watertight
    assert mesh.volume > 0
    top = (mesh.triangles_center[:, 2] > 1.4) & (mesh.face_normals[:, 2] > 0.5)
    outward = mesh.triangles_center[top, :2] - [0.0, 0.22]
    assert top.sum() >= 4
    assert ((outward * mesh.face_normals[top, :2]).sum(axis=1) > 0).all()


def test_stack_without_chases_has_the_volume_of_its_blocks() -> None:
    """Exact: body, capping slab and a hipped top (prism and pyramid volumes)."""
    made = build(detail(40, stack=Stack(width=0.6, depth=0.4, height=1.4, chase_depth=0.0)))
    part = made["stack"]
    mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
    low = part.vertices[:, 2].min()
    long, short = 0.68, 0.48
    peak = short / 2 * np.tan(np.radians(15))
    hip = short * short * peak / 3 + (long - short) * short * peak / 2
    assert mesh.volume == pytest.approx(
        0.6 * 0.4 * (1.4 - low) + long * short * 0.06 + hip, rel=1e-9
    )


@pytest.mark.parametrize("name", ["front apron", "right side flashing", "back gutter"])
def test_turn_ins_enter_the_stack_by_25_mm_and_fall_outward(name: str) -> None:
    """Chase and turn-in 25 mm (trade guidance, seen); they fall outward (common practice, no source)."""
    part = build(detail(40))[name]
    inside = _depth_inside(part.vertices)
    assert inside.max() == pytest.approx(0.025, abs=1e-9)
    assert (inside > 0.024).any()
    if name != "right side flashing":
        faces = part.vertices[part.faces]
        # The back gutter's goes on round the corners.
        turn_in = (_depth_inside(faces.reshape(-1, 3)).reshape(-1, 3) > -0.005).all(axis=1)
        turn_in &= np.abs(faces.mean(axis=1)[:, 0]) < 0.265
        normals = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])[turn_in]
        outward = -1.0 if name == "front apron" else 1.0
        lying = normals[:, 2] > 0
        assert (normals[lying, 1] * outward > 0).all()


def _depth_inside(points: np.ndarray) -> np.ndarray:
    """How deep points lie within the stack's plan, negative outside [m]."""
    x = 0.295 - np.abs(points[:, 0])
    y = 0.22 - np.abs(points[:, 1] - 0.22)
    return np.minimum(x, y)


def test_no_turn_in_leaves_nothing_in_the_stack() -> None:
    """Without turn-ins no corner of a piece lies within the stack's plan."""
    made = build(detail(40, apron=Apron(turn_in=0.0), sides=Sides(turn_in=0.0)))
    for name in ("front apron", "left side flashing"):
        assert _depth_inside(made[name].vertices).max() <= 0
