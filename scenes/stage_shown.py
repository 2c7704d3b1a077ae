"""Stages shown in another way: with amounts on the surfaces, or with a covering that lets one see
through."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from meshes.parts import Role
from scenes.colours import PLAIN
from scenes.stage import Piece, Stage
from scenes.stage_cut import split
from scenes.stage_fields import Field

SAME = 1e-6
"""What stands no higher above a cut is not cut [m]."""


def with_field(stage: Stage, field: Field) -> Stage:
    """The stage with an amount on its surfaces: pieces are plain, and of the water only what gets behind
    is drawn."""
    pieces = tuple(replace(piece, colour=PLAIN) for piece in stage.pieces)
    paths = tuple(way for way in stage.paths if way.behind)
    return replace(stage, pieces=pieces, paths=paths, fields=(_uncut(field, stage.pieces),))


def _uncut(field: Field, pieces: tuple[Piece, ...]) -> Field:
    """The field without what lies on the part of a stack that is cut away."""
    tops = {p.name: p.ghost[:, :, 2].min() for p in pieces if len(p.ghost)}
    limit = np.array([tops.get(name, np.inf) for name in field.parts])[field.part]
    height = field.triangles[:, :, 2]
    whole = height.max(axis=1) <= limit + SAME
    rows, lower = [np.flatnonzero(whole)], [field.triangles[whole]]
    for row in np.flatnonzero(~whole & (height.min(axis=1) < limit - SAME)).tolist():
        low, _, _ = split(field.triangles[row], float(limit[row]))
        lower.append(low)
        rows.append(np.full(len(low), row))
    of = np.concatenate(rows)
    return replace(
        field, triangles=np.concatenate(lower), values=field.values[of], part=field.part[of]
    )


def see_through(stage: Stage) -> Stage:
    """The stage with its covering see-through, and of the water only what gets behind: the rest runs on the
    covering. As it is where it has no covering, or nothing else."""
    if all(piece.role is Role.COVERING for piece in stage.pieces):
        return stage
    pieces = (replace(p, see_through=p.role is Role.COVERING) for p in stage.pieces)
    paths = tuple(way for way in stage.paths if way.behind)
    return replace(stage, pieces=tuple(pieces), paths=paths)
