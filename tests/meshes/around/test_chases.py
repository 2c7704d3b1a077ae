"""Chases left open: no sheet touches the stack, the stack lacks what was cut, calm rain stays out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import trimesh

from meshes.around.build import build_around
from meshes.parts import Assembly, Part, Role
from meshes.spec import Apron, BackGutter, Detail, Sides
from tests.meshes.around.details_around import DETAILS, TURNED, Wet, around, beside, not_shed
from tests.meshes.crossings import crossings, edges_of

ROOM = {"clearance": 0.016}
OPEN: dict[str, Detail] = DETAILS | {
    "slit and patch": around(stack=TURNED, joint="slit and patch"),
    "two-part": around(apron=Apron(two_part=True), gutter=BackGutter(two_part=True)),
    "soakers": around(sides=Sides(way="soakers"), roof=ROOM),
    "stepped cover": around(sides=Sides(way="stepped cover"), roof=ROOM),
}


def _with(detail: Detail, *, pointed: bool) -> Detail:
    return replace(detail, stack=replace(detail.stack, pointed=pointed))


def _stack(assembly: Assembly) -> Part:
    return next(part for part in assembly if part.role is Role.STACK)


def _volume(assembly: Assembly) -> float:
    stack = _stack(assembly)
    mesh = trimesh.Trimesh(stack.vertices, stack.faces, process=False)
    assert mesh.is_watertight
    return float(mesh.volume)


def _meet(one: Part, other: Part) -> bool:
    edges = edges_of(one)
    starts, ends = one.vertices[edges[:, 0]], one.vertices[edges[:, 1]]
    return bool(crossings(starts, ends, other.vertices[other.faces]))


@pytest.mark.parametrize("name", OPEN)
def test_no_turn_in_touches_the_stack_and_calm_rain_is_shed(name: str) -> None:
    """Exact: no edge of a sheet meets the stack, none of the stack a sheet; every drop is shed."""
    detail = _with(OPEN[name], pointed=False)
    assembly = build_around(detail)
    stack = _stack(assembly)
    touching = [
        part.name
        for part in assembly
        if part.role is Role.FLASHING and (_meet(part, stack) or _meet(stack, part))
    ]
    assert touching == []
    assert not not_shed(Wet.of(assembly).fall(beside(detail, 800))[1])


@pytest.mark.parametrize("name", ["square", "octagon", "flue"])
def test_about_a_slot_all_round_is_cut(name: str) -> None:
    """Derived: 12 mm by 35 mm round the outline less what its mitres overlap, longer by the slope of
    the chases, by up to an eighth where corners are cut twice; the same without turn-ins."""
    detail = OPEN[name]
    plan = detail.stack.outline()
    round_it = sum(edge.length for edge in plan.edges)
    inner = sum(2 * 0.035**2 * np.tan(plan.turn_at(k) / 2) / 2 for k in range(len(plan.corners)))
    slot = 0.012 * (0.035 * round_it - inner)
    whole = _volume(build_around(_with(detail, pointed=True)))
    bare = replace(detail, apron=Apron(turn_in=0.0), sides=Sides(turn_in=0.0))
    bare = replace(bare, gutter=BackGutter(turn_in=0.0))
    for cut in (_with(detail, pointed=False), bare):
        share = (whole - _volume(build_around(cut))) / slot
        assert 0.9 < share < 1.25
