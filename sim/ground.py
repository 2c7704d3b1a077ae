"""The ground that water runs on: all about a surface that no wind changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from meshes.parts import Assembly
from sim.cast import Caster
from sim.contacts import join_contacts
from sim.curtains import Curtains, curtains_of
from sim.edges import Edges, edges_of
from sim.fans import Rings
from sim.surface import Surface
from sim.tables import CATCHES, FACTS, FAN, LINKS, NEIGHBOUR, PART, STEP, VERTEX
from sim.tolerances import FLAT

GRAVITY = (0.0, 0.0, -9.80665)


Landings = tuple[NDArray[np.int32], NDArray[np.float64]]
"""Chart (k,), -1 where it leaves, and place on it (k, 3) where a drip lands."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """A surface with its neighbours and rays, for charts under as many drives as one likes.

    surface: the triangles, split along contacts; drive (3,) [m/s2]: what acts everywhere, and along
    which water falls; edges, rings: neighbours round edges and corners; caster: rays; curtains: under
    every edge that water can drip from, whatever else drives it; None: each drive hangs its own;
    drips: likewise where a drip from each corner's ring lands; links (2m, 12) and facts (m, 6):
    what of `Tables.link` and `Tables.fact` no drive changes; depth: how far along `down` the surface
    reaches [m].
    """

    surface: Surface
    drive: NDArray[np.float64]
    edges: Edges
    rings: Rings
    caster: Caster
    curtains: Curtains | None
    drips: Landings | None
    links: NDArray[np.int32]
    facts: NDArray[np.int32]
    depth: float

    @staticmethod
    def of(
        ground: Assembly | Surface, drive: Sequence[float] = GRAVITY, *, many: bool = False
    ) -> Ground:
        """The ground of an assembly, or of a surface that is split along its contacts already.

        drive (3,) [m/s2], not nil; many: whether more than one drive will be tried on it. Raises
        SceneError for a drive that is nil or not finite, and what `Surface.of` raises.
        """
        pull = np.array(drive, dtype=np.float64)
        size = float(np.linalg.norm(pull)) if pull.shape == (3,) else 0.0
        proper = np.isfinite(size) and size > 0
        require(bool(proper), "drive", drive, "three finite numbers, not all nil", SceneError)
        surface = ground if isinstance(ground, Surface) else join_contacts(Surface.of(ground))
        edges = edges_of(surface)
        caster = Caster.of(surface)
        rings, down = Rings.of(surface, edges, pull / size), pull / size
        curtains, landings = None, None
        if many:
            drips = (edges.neighbour >= 0) & (edges.air > np.pi + FLAT / 2)
            curtains = curtains_of(surface, edges, drips, caster, down)
            every = np.arange(len(rings.start))
            landings = landings_of(surface, caster, rings.start, rings.vertex, every, down)
        depth = float((surface.vertices @ down).max())
        return Ground(
            surface, pull, edges, rings, caster, curtains, landings, _links(edges, rings),
            _facts(surface, down), depth,
        )  # fmt: skip

    @property
    def down(self) -> NDArray[np.float64]:
        """The way that water falls (3,), unit."""
        down: NDArray[np.float64] = self.drive / np.linalg.norm(self.drive)
        return down


def _links(edges: Edges, rings: Rings) -> NDArray[np.int32]:
    links = np.zeros((len(edges.neighbour), LINKS), np.int32)
    links[:, NEIGHBOUR : NEIGHBOUR + 3] = edges.neighbour
    links[:, FAN : FAN + 3] = rings.of_corner
    links[:, STEP : STEP + 3] = edges.near.astype(np.int32) << 3 | edges.far.astype(np.int32) << 5
    return links


def _facts(surface: Surface, down: NDArray[np.float64]) -> NDArray[np.int32]:
    facts = np.zeros((len(surface.faces), FACTS), np.int32)
    facts[:, VERTEX : VERTEX + 3] = surface.faces
    facts[:, PART] = surface.face_part
    facts[:, CATCHES] = 2 * np.arange(len(surface.faces)) + (surface.normals @ down > 0)
    return facts


def landings_of(
    surface: Surface,
    caster: Caster,
    start: NDArray[np.float64],
    vertex: NDArray[np.int32],
    rows: NDArray[np.integer],
    down: NDArray[np.float64],
) -> Landings:
    """Where drips from rings with these rows (k,) land, falling along `down` (3,).

    start (n, 3) [m], recentred, and vertex (n,): see `Rings`.
    """
    skip = np.repeat(vertex[rows, None], 2, axis=1)
    _, face, where = caster.landings(start[rows] + surface.centre, down, skip=skip)
    catches = 2 * face + (surface.normals[face] @ down > 0)
    return np.where(face >= 0, catches, -1).astype(np.int32), np.clip(where, 0.0, 1.0)
