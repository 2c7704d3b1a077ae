"""Charts: both sides of every face, and all that can be decided before any drop falls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Role
from sim.cast import Caster
from sim.classes import Action, Classes, classes_of, runs_of
from sim.curtains import Curtains, curtains_of
from sim.edges import Edges
from sim.errors import TraceError
from sim.fans import Fans, Way, fans_of
from sim.ground import GRAVITY, Ground, landings_of
from sim.legs import Onward
from sim.level import LevelCreases, level_creases, no_level_creases
from sim.surface import Surface
from sim.tables import LEVEL, ROW, STEP, Tables

__all__ = ["GRAVITY", "Charts"]


@dataclass(frozen=True, slots=True, eq=False)
class Charts:
    """The charts of a surface under one drive each. Chart 2 f is the wet side of face f, 2 f + 1 the
    dry side.

    surface: the triangles; where faces of different parts touch or cut each other they are split
    along the contact, so that contacts are edges like any other. drive (3,) [m/s2]: what acts
    everywhere, and along which water falls. caster: rays against the same triangles. tables: what
    the walk looks up. onward: how water goes on that these charts hold; None: it stays.
    """

    surface: Surface
    drive: NDArray[np.float64]
    edges: Edges
    classes: Classes
    fans: Fans
    caster: Caster
    tables: Tables
    onward: Onward | None = None

    @staticmethod
    def of(assembly: Assembly, drive: Sequence[float] = GRAVITY) -> Charts:
        """Charts of an assembly under a uniform drive (3,) [m/s2]; raises what `Ground.of` raises."""
        return Charts.on(Ground.of(assembly, drive))

    @staticmethod
    def on(
        ground: Ground,
        extra: NDArray[np.float64] | None = None,
        *,
        level: bool = True,
        onward: Onward | None = None,
    ) -> Charts:
        """Charts of a ground. extra (2m, 3) [m/s2]: what drives the water of each chart besides the
        ground's own drive; level: whether water finds its way along level creases, or stays there;
        onward: how water goes on that is held.
        """
        surface, edges, caster, down = ground.surface, ground.edges, ground.caster, ground.down
        size = float(np.linalg.norm(ground.drive))
        classes = classes_of(surface, edges, down, None if extra is None else extra / size)
        fans = fans_of(surface, edges, ground.rings, classes, down)
        find = level_creases if level else no_level_creases
        creases, fans = find(surface, edges, classes.action, fans, down)
        curtains = ground.curtains or curtains_of(
            surface, edges, classes.action == Action.FALL, caster, down
        )
        tables = Tables(
            run=runs_of(classes.push, edges.altitude),
            link=_links(ground.links, classes, creases, curtains),
            fact=_facts(ground.facts, classes),
            vertices=surface.vertices,
            normals=surface.normals,
            fan_to=_fan_to(fans, creases),
            fan_at=np.concatenate([fans.start, np.zeros((len(fans.way), 3))], axis=1),
            crease=creases.table,
            rim=curtains.rim,
            rim_list=np.concatenate([curtains.ends, curtains.first], axis=1),
            below=curtains.face,
            line=curtains.line,
            world=np.append(down, ground.depth),
            inside=_mask(surface.parts_with(Role.INSIDE)),
            underlay=_mask(surface.parts_with(Role.UNDERLAY)),
            tree=caster.tree,
        )
        for name, table in {**tables._asdict(), **tables.tree._asdict()}.items():
            if isinstance(table, np.ndarray) and not table.flags.c_contiguous:
                raise TraceError(f"tables must be in one piece. Got {name} in several")
        _land_drips(ground, fans, tables)
        return Charts(surface, ground.drive, edges, classes, fans, caster, tables, onward)

    def going_on(self, onward: Onward) -> Charts:
        """The same charts, on which water that is held goes on so."""
        return replace(self, onward=onward)

    @property
    def normals(self) -> NDArray[np.float64]:
        """Unit normal of each chart, to its air side (2m, 3)."""
        both = np.repeat(self.surface.normals, 2, axis=0)
        both[1::2] *= -1
        return both

    @property
    def part(self) -> NDArray[np.int32]:
        """Part of each chart (2m,)."""
        return np.repeat(self.surface.face_part, 2)

    def points(self, chart: NDArray[np.integer], where: NDArray[np.float64]) -> NDArray[np.float64]:
        """Places on charts (n,), given in barycentric coordinates (n, 3), as points (n, 3) [m]."""
        ends = self.surface.vertices[self.surface.faces[chart // 2]]
        return np.einsum("nk,nkx->nx", where, ends) + self.surface.centre


def _links(
    fixed: NDArray[np.int32], classes: Classes, creases: LevelCreases, curtains: Curtains
) -> NDArray[np.int32]:
    links = fixed.copy()
    level = classes.action == Action.LEVEL
    links[:, ROW : ROW + 3] = np.where(level, creases.row, curtains.row)
    links[:, STEP : STEP + 3] |= classes.action
    return links


def _fan_to(fans: Fans, creases: LevelCreases) -> NDArray[np.int32]:
    to = np.stack([fans.way, fans.chart, fans.place], axis=1).astype(np.int32)
    level = fans.way == Way.LEVEL
    to[level, 1:] = creases.start[level]
    return to


def _facts(fixed: NDArray[np.int32], classes: Classes) -> NDArray[np.int32]:
    facts = fixed.copy()
    facts[:, LEVEL] = (classes.slope == 0).reshape(-1, 2) @ [1, 2]
    return facts


def _land_drips(ground: Ground, fans: Fans, tables: Tables) -> None:
    """Put down where the fall from each corner that drips lands: its chart (-1: it leaves) and place."""
    rows = np.flatnonzero(fans.way == Way.DRIPS)
    if ground.drips is None:
        chart, where = landings_of(
            ground.surface, ground.caster, fans.start, fans.corner, rows, ground.down
        )
    else:
        chart, where = ground.drips[0][rows], ground.drips[1][rows]
    tables.fan_to[rows, 1], tables.fan_at[rows, 3:] = chart, where


def _mask(parts: tuple[int, ...]) -> np.uint64:
    return np.uint64(sum(1 << part for part in parts))
