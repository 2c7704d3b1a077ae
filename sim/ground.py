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
from sim.tolerances import FLAT

GRAVITY = (0.0, 0.0, -9.80665)


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """A surface with its neighbours and rays, for charts under as many drives as one likes.

    surface: the triangles, split along contacts; drive (3,) [m/s2]: what acts everywhere, and along
    which water falls; edges, rings: neighbours round edges and corners; caster: rays; curtains: under
    every edge that water can drip from, whatever else drives it; None: each drive hangs its own.
    """

    surface: Surface
    drive: NDArray[np.float64]
    edges: Edges
    rings: Rings
    caster: Caster
    curtains: Curtains | None

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
        curtains = None
        if many:
            drips = (edges.neighbour >= 0) & (edges.air > np.pi + FLAT / 2)
            curtains = curtains_of(surface, edges, drips, caster.tree, pull / size)
        return Ground(surface, pull, edges, Rings.of(surface, edges, pull / size), caster, curtains)

    @property
    def down(self) -> NDArray[np.float64]:
        """The way that water falls (3,), unit."""
        down: NDArray[np.float64] = self.drive / np.linalg.norm(self.drive)
        return down
