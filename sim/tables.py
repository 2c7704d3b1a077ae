"""Everything a walk looks up, packed so that one hop reads few lines of memory."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.compiled import inlined
from sim.pointers import pointer
from sim.tree import Tree

NEIGHBOUR, ROW, FAN, STEP, LINKS = 0, 3, 6, 9, 12
RATE, SPAN, RUNS = 0, 3, 6
VERTEX, PART, LEVEL, CATCHES, FACTS = 0, 3, 4, 5, 6
REACH, LENGTH, CHART, CORNER, NEXT, CREASES = 0, 2, 3, 4, 6, 8


class Tables(NamedTuple):
    """Lookup tables over m faces, 2m charts (2 * face + side) and k fans.

    A place on a face is held in barycentric coordinates. run (2m, 6): how fast they change along the
    way water runs [1/m], and after how many times its value the one of corner i reaches nought, at
    edge i [m] (-1: never). link (2m, 12) int32: for each edge the neighbour, and the row in `crease`
    or `rim`; for each corner its fan; for each edge its step: an Action (bits 0 to 2) and the
    neighbour's corners that lie at this edge's two ends (bits 3 and 4, 5 and 6). fact (m, 6) int32:
    three vertices, part, whether level (bit 0 the wet side, bit 1 the dry one), the chart that faces
    what falls. fan_to (k, 3) int32: Way,
    chart, corner (for LEVEL two runs along `crease`: twice its row, 1 more to its corner i + 2);
    fan_at (k, 6): where a drip begins [m], where it lands. crease (r, 8): level ones, from either end
    how far it is on to an outlet, the length [m], the chart, and where the two runs lead, which corners
    and which runs (-1: an outlet). rim, rim_list (r, 4) int32 (matched corners, first and last
    candidate), below and line: see `Curtains`. world (4,): unit drive, and how far along it the model
    reaches [m].
    """

    run: NDArray[np.float64]
    link: NDArray[np.int32]
    fact: NDArray[np.int32]
    vertices: NDArray[np.float64]
    normals: NDArray[np.float64]
    fan_to: NDArray[np.int32]
    fan_at: NDArray[np.float64]
    crease: NDArray[np.float64]
    rim: NDArray[np.float64]
    rim_list: NDArray[np.int32]
    below: NDArray[np.int32]
    line: NDArray[np.float64]
    world: NDArray[np.float64]
    inside: np.uint64
    underlay: np.uint64
    tree: Tree


class Hot(NamedTuple):
    """The same tables inside a kernel: pointers to flat arrays, and the masks of roles."""

    run: Any
    link: Any
    fact: Any
    vertices: Any
    normals: Any
    fan_to: Any
    fan_at: Any
    crease: Any
    rim: Any
    rim_list: Any
    below: Any
    line: Any
    world: Any
    inside: Any
    underlay: Any
    tree: Any


class HotTree(NamedTuple):
    """A `Tree` inside a kernel: pointers to flat arrays."""

    turn: Any
    box: Any
    link: Any
    face: Any
    corner: Any
    graze: Any
    ends: Any


@inlined
def hot_tree(tree):
    """Pointers to a tree's arrays."""
    return HotTree(
        pointer(tree.turn), pointer(tree.box), pointer(tree.link), pointer(tree.face), pointer(tree.corner),
        pointer(tree.graze), pointer(tree.ends),
    )  # fmt: skip


@inlined
def hot(tables):
    """Pointers to the tables' arrays."""
    return Hot(
        pointer(tables.run), pointer(tables.link), pointer(tables.fact), pointer(tables.vertices),
        pointer(tables.normals), pointer(tables.fan_to), pointer(tables.fan_at),
        pointer(tables.crease), pointer(tables.rim), pointer(tables.rim_list),
        pointer(tables.below), pointer(tables.line), pointer(tables.world),
        tables.inside, tables.underlay, hot_tree(tables.tree),
    )  # fmt: skip
