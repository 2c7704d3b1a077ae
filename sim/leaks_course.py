"""What one drop of a leak did, from the sky to where it comes out: the figures that its reason is told
with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.events import Event
from sim.ground import GRAVITY
from sim.laps import Lap
from sim.laps_table import RESTING
from sim.leaks_beneath import Beneath, beneath
from sim.leaks_causes import Causes
from sim.leaks_driven import LOOK_ON
from sim.leaks_edge import Edge, edge_passed, lap_at, way_under
from sim.leaks_pieces import in_short_pieces
from sim.leaks_run import Stretch, blown_aside, stretches
from sim.leaks_ways import Reader, WaysIn
from sim.legs import GathersTo
from sim.places import Places
from sim.ponds import Ponds
from sim.spills import Spills
from sim.trace import Paths

Floats = NDArray[np.float64]

SHORTEST_MOVE = 1e-3
"""Water that has moved less than this from its way in [m] shows no direction."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """What one drop did. All lengths [m], 0 or more unless it says otherwise.

    landed_on: the part that it fell on from the sky, and its role; landed_at: where, in plain words;
    run: its stretches before the way in, in their order; blown: how far aside from its fall lines it
    was pushed on them; push [m/s2]: what acts everywhere besides gravity; driven: whether it climbed at
    its way in, or left its fall line there; edge: that it passed; slit: how far the sheet over it is off
    what it ran on there, nan where no sheet is; gap: how wide the gap in the sheet itself is that it went
    through, nan for none; beneath: what it did
    under that sheet; lap: the one measured at this place, None for none; depth: of the standing water
    that it came out of, 0 for none; misses: how far off the edge it passed, inf for no edge; fell:
    through the air from the way in to where it comes out; lower: how far below the way in that is,
    negative above; beside: and how far from it in plan; comes_out_at: where, in plain words, empty
    without a stack.
    """

    landed_on: str
    landed_role: Role
    landed_at: str
    run: tuple[Stretch, ...]
    blown: float
    push: float
    driven: bool
    edge: Edge
    slit: float
    gap: float
    beneath: Beneath
    lap: Lap | None
    depth: float
    misses: float
    fell: float
    lower: float
    beside: float
    comes_out_at: str


def course_of(
    reader: Reader,
    path: Paths,
    ways: WaysIn,
    causes: Causes,
    row: int,
    places: Places,
    laps: tuple[Lap, ...],
) -> Course:
    """The course of the one drop whose way in is row `row` of `ways` and `causes`, from its path; laps:
    those measured."""
    surface = reader.charts.surface
    path = in_short_pieces(path, reader.under)
    names, roles = surface.part_names, surface.part_roles
    before, behind, met = int(ways.before[row]), int(ways.behind[row]), int(ways.met[row])
    if causes.at_off[row]:
        before, behind = int(ways.off[row]) - 1, int(ways.off[row])
    point, fell, direct = causes.point[row], bool(ways.fell[row]), bool(ways.direct[row])
    landed = int(surface.face_part[path.chart[0] // 2])
    arrives = ways.arrives[row]
    came_from, gone_behind = names[causes.came_from[row]], names[causes.behind[row]]
    edge, normal, face = causes.inward[row], causes.normal[row], reader.normals[path.chart[before]]
    inward = way_under(edge, normal, face, _goes_on(path, behind, point))
    # Where a flap ends the sheet, the face that the water runs on tells which edge of it that is.
    flap = inward is not edge
    normal = face if flap else normal
    runs_under = not fell and not direct

    def where(place: Floats) -> str:
        known = bool(surface.parts_with(Role.STACK))
        return places.words(place - surface.centre) if known else ""

    return Course(
        landed_on=names[landed], landed_role=roles[landed], landed_at=where(path.points[0]),
        run=() if direct else stretches(reader, path, before, point),
        blown=0.0 if direct else blown_aside(reader, path, before, point),
        push=float(np.linalg.norm(reader.charts.drive - np.array(GRAVITY))),
        driven=bool(ways.climbs[row] or ways.aside[row]),
        edge=edge_passed(inward, normal),
        slit=_slit(reader, -1 if flap else int(causes.sheet[row]), point), gap=float(causes.gap[row]),
        beneath=(
            beneath(reader, path, before, behind, met, point, inward) if runs_under else Beneath()
        ),
        lap=lap_at(laps, gone_behind, came_from, point),
        depth=depth_of_standing(reader, path, before),
        misses=float(causes.off[row]),
        fell=fallen(path, before if fell else behind, met, point),
        lower=float(point[2] - arrives[2]),
        beside=float(np.linalg.norm((point - arrives)[:2])), comes_out_at=where(arrives),
    )  # fmt: skip


def _goes_on(path: Paths, behind: int, point: Floats) -> Floats:
    """How water moves on from its way in, a point (3,) [m] at which row `behind` begins or that lies before
    it: the first step (3,) of a length worth reading."""
    moves = path.points[behind] - point
    for row in range(behind + 1, min(behind + LOOK_ON, len(path.points))):
        if np.linalg.norm(moves) >= SHORTEST_MOVE:
            break
        moves = path.points[row] - point
    return moves


def _slit(reader: Reader, sheet: int, point: Floats) -> float:
    """How far the plane of a face is off a point (3,) [m]; nan for none, or one too far off to be said to
    lie over it."""
    if sheet < 0:
        return float("nan")
    surface = reader.charts.surface
    corner = surface.vertices[surface.faces[sheet, 0]] + surface.centre
    away = abs(float((point - corner) @ surface.normals[sheet]))
    return away if away <= RESTING else float("nan")


def depth_of_standing(reader: Reader, path: Paths, before: int) -> float:
    """Depth [m] of the water that a path came to rest in last, up to row `before`, where it rested; 0
    where it came out of none."""
    rows = np.flatnonzero(path.kind[: before + 1] == Event.STOOD)
    ponds = _ponds_of(reader)
    if not len(rows) or ponds is None:
        return 0.0
    held = rows[-1:]
    pond = int(ponds.of_held(path.chart[held], path.points[held])[0])
    return max(0.0, float(ponds.level[pond] - path.points[held[0], 2])) if pond >= 0 else 0.0


def _ponds_of(reader: Reader) -> Ponds | None:
    """The hollows that water on these charts, or once it has gathered in the wind, is held in."""
    onward = reader.charts.onward
    if isinstance(onward, GathersTo):
        onward = onward.charts.onward
    return onward.ponds if isinstance(onward, Spills) else None


def fallen(path: Paths, first: int, last: int, point: Floats) -> float:
    """How far a path falls through the air from row `first` to row `last` [m], below point (3,) at
    most."""
    rows = np.flatnonzero(path.kind[first:last] == Event.FELL) + first
    top = np.minimum(path.points[rows, 2], point[2])
    return float(np.maximum(top - path.points[rows + 1, 2], 0.0).sum())
