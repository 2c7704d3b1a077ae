"""The order in which the pieces are dressed: what each goes over, by how much, which way its edge faces.

Laps are measured on the meshes, the same ones that the water runs on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import cos, sin
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Role
from meshes.piece import Piece
from meshes.sheet import Facets
from meshes.spec import Detail
from scenes.cutting.dressing_parts import near_the_pieces
from scenes.scene import Scene

if TYPE_CHECKING:
    from sim.laps import Lap

FOLDED: Final = {
    "down-slope": "The folds at the corners face down the slope, so that water runs off them.",
    "up-slope": "The folds at the corners face up the slope, as the scene has them: water runs into"
    " them. They should face down it.",
}
WITH_COURSE: Final = (
    "The course of the covering beside it goes on next and over it, before the next soaker and the step"
    " flashing."
)
BESIDE_SOAKERS: Final = "Its courses beside the soakers went on with them, one after each."
NO_LAP: Final = "No lap of it over another sheet was measured on the model."
UPRIGHT: Final = 0.7  # [1] of a way square to the roof: then it lies on an upright face
CORNERS: Final = ("front left", "front right", "back left", "back right")
ROUND_IT: Final = {"return": ("to the left", "to the right"), "fin": ("downwards",)}
"""Which way a fold's edge looks, that is turned round a corner over another piece, by the joint."""


@dataclass(frozen=True, slots=True)
class Over:
    """A lap of a piece. lower: over what; where: at the stack; length, needed [m]; ok: whether it is long
    enough; faces: which way the open edge looks, in words; most [m]: of its laps there, where it has
    several, the longest; `length` is that with least to spare."""

    lower: str
    where: str
    length: float
    needed: float
    ok: bool
    faces: str
    most: float

    @property
    def words(self) -> str:
        """`the front apron by 47 mm at the front left, its edge to the right`."""
        short = "" if self.ok else f", too short: {self.needed * 1000:.0f} mm needed"
        least, most = (f"{length * 1000:.0f} mm" for length in (self.length, self.most))
        length = f"{least} to {most}" if self.most > self.length and least != most else least
        return f"the {self.lower} by {length} at the {self.where}{short}, its edge {self.faces}"


@dataclass(frozen=True, slots=True)
class Step:
    """One part that goes on. number: from 1; over: its laps; folds: which way its folds face, or "";
    course: what is said of a piece that goes on with a course of the covering, or ""; sheet: what is shown
    of it, where it is none of the pieces."""

    number: int
    name: str
    over: tuple[Over, ...]
    folds: str
    course: str = ""
    sheet: Facets | None = None

    @property
    def words(self) -> str:
        """What is said of it, without its name."""
        laps = "Laps " + "; ".join(one.words for one in self.over) + "." if self.over else ""
        return " ".join(text for text in (laps, self.folds, self.course) if text) or NO_LAP


@dataclass(frozen=True, slots=True)
class Dressing:
    """before: what is there before the first piece; steps: one for each part that goes on."""

    before: tuple[str, ...]
    steps: tuple[Step, ...]


def names_in_order(detail: Detail, made_so: Mapping[str, Piece]) -> tuple[str, ...]:
    """The pieces' names in dressing order. made_so: as `meshes.build.pieces` has them."""
    keys = [str(key) for key in detail.order if str(key) in made_so]
    return tuple(made_so[key].name for key in (keys if len(keys) == len(made_so) else made_so))


def dressing_order(scene: Scene, detail: Detail) -> Dressing:
    """Builds the scene and measures its laps: what goes on after the underlay, and what it goes over.
    detail: as it is made, with the scene's faults. Raises SceneError for what can't be built."""
    from scenes.assemble import assemble
    from sim.laps import measure_laps
    from sim.surface import Surface

    assembly = assemble(scene)
    return dressing_of(assembly, measure_laps(Surface.of(assembly)), detail)


def dressing_of(assembly: Assembly, laps: Sequence[Lap], detail: Detail) -> Dressing:
    """The order of an assembly's parts, from laps that were measured already."""
    parts = [part for part in assembly.parts if part.role is not Role.STACK]
    first = next(at for at, part in enumerate(parts) if part.role is Role.FLASHING)
    pieces = [part for part in parts if part.role is Role.FLASHING]
    sheets = {part.name for part in pieces}
    steps: list[Step] = []
    for part in parts[first:]:
        over = _over([lap for lap in laps if lap.upper == part.name], detail)
        if not over and part.role not in (Role.FLASHING, Role.COVERING, Role.UNDERLAY):
            continue
        folded = part.name in sheets and any(
            one.where in CORNERS and one.lower in sheets
            and one.faces in ROUND_IT.get(detail.joint, ())
            for one in over
        )  # fmt: skip
        folds = FOLDED[detail.facing] if folded else ""
        sheet = None if part.name in sheets else near_the_pieces(part, pieces)
        steps.append(Step(len(steps) + 1, part.name, over, folds, _course(part.name, laps), sheet))
    return Dressing(tuple(part.name for part in parts[:first]), tuple(steps))


def _course(name: str, laps: Sequence[Lap]) -> str:
    """What is said of a soaker that the covering comes over, and of that covering: they go on by turns."""
    over = {lap.lower for lap in laps if lap.upper == "covering" and "soaker" in lap.lower.split()}
    if name == "covering" and over:
        return BESIDE_SOAKERS
    return WITH_COURSE if name in over else ""


def _over(laps: Sequence[Lap], detail: Detail) -> tuple[Over, ...]:
    """Laps by what they go over, where and which way: of those alike the one that has least to spare."""
    found: dict[tuple[str, str, str], Over] = {}
    for lap in laps:
        one = Over(
            lap.lower, lap.where, lap.length, lap.needed, lap.ok, _faces(lap, detail), lap.length
        )
        key = (one.lower, one.where, one.faces)
        known = found.get(key, one)
        least = min(known, one, key=lambda each: each.length - each.needed)
        found[key] = replace(least, most=max(known.most, one.most))
    return tuple(found.values())


def _faces(lap: Lap, detail: Detail) -> str:
    """Which way the open edge looks: from the lap's inner end to its outer one."""
    way = lap.way[0] - lap.way[1]
    ridge, pitch = detail.roof.ridge, detail.roof.pitch
    beyond = ridge is not None and float(lap.way[0, 1]) > ridge
    up = np.array([0.0, -cos(pitch) if beyond else cos(pitch), sin(pitch)])
    across = np.array([1.0, 0.0, 0.0])
    ways: dict[str, NDArray[np.float64]] = {
        "down the slope": -up, "up the slope": up, "to the left": -across, "to the right": across,
    }  # fmt: skip
    if abs(way @ np.cross(across, up)) > UPRIGHT * 0.5 * float(np.linalg.norm(way)):
        ways |= {"downwards": np.array([0.0, 0.0, -1.0]), "upwards": np.array([0.0, 0.0, 1.0])}
    return max(ways, key=lambda name: round(float(way @ ways[name]), 9))
