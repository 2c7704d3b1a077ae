"""The cut list of a scene: its patterns, its steps, and how they lie on the stock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from meshes.around.worth_saying import worth_saying
from meshes.errors import SceneError
from meshes.materials import MATERIALS, Material
from meshes.piece import Piece
from meshes.spec import Detail
from scenes.cutting.dressing import names_in_order
from scenes.cutting.one_side import made_of
from scenes.cutting.packing import Blank, Packing, packed
from scenes.cutting.pattern import Pattern
from scenes.cutting.patterns import patterns_of
from scenes.cutting.seams import how_joined
from scenes.cutting.steps_out import StepOut, steps_out
from scenes.cutting.stock import ALONG, STOCK, Stock
from scenes.faults.apply import detail_made, told
from scenes.faults.fault import OnMeasures
from scenes.scene import Scene

NO_MEASURES = "is made of parts from files alone, which have no blanks"
NOT_IN_BLANKS = (
    "is not in these blanks: it is of how the pieces are fitted, or of what came later. They are cut as"
    " they should be"
)


@dataclass(frozen=True, slots=True, eq=False)
class CutList:
    """What to cut. title: the scene's; faults: as findings.json has them; remarks: what whoever makes the
    pieces should know; left_out: blanks that no stock takes, and why; order: names of the pieces as they
    are dressed; pieces: folded, by name; detail: as it is made."""

    title: str
    faults: tuple[dict[str, object], ...]
    material: Material
    patterns: tuple[Pattern, ...]
    steps: tuple[StepOut, ...]
    packing: Packing
    remarks: tuple[str, ...]
    left_out: tuple[str, ...]
    order: tuple[str, ...]
    pieces: Mapping[str, Piece]
    detail: Detail

    def mass(self, pattern: Pattern) -> float:
        """Of one blank [kg]."""
        return pattern.area * self.material.mass

    @property
    def area(self) -> float:
        """Of all blanks [m2]."""
        return sum(one.area * one.count for one in self.patterns)


def cut_list(scene: Scene, stock: Sequence[Stock] = ()) -> CutList:
    """What to cut for a scene, with the faults of its measures in it.

    stock: to cut from, instead of what the material usually comes in. Raises SceneError for a scene of
    parts from files, for one that can't be flashed, and where no blank at all fits the stock.
    """
    detail = detail_made(scene)
    if detail is None:
        raise SceneError(f"{scene.file} {NO_MEASURES}")
    material = MATERIALS[detail.material]
    some = tuple(stock) or STOCK[detail.material]
    whole = made_of(scene, detail)
    made_so = whole.made_so
    made = tuple(made_so.values())
    patterns = patterns_of(detail, made_so, whole.straight)
    blanks = [Blank(name, *one.size, one.area) for one in patterns for name in one.alike]
    packing = packed(blanks, some, along=detail.material in ALONG)
    left_out = tuple(_why(one, some) for one in packing.left_out)
    if not packing.used:
        raise SceneError(f"nothing can be cut from this stock: {left_out[0]}")
    return CutList(
        title=scene.title,
        faults=tuple(told(scene)),
        material=material,
        patterns=patterns,
        steps=steps_out(detail, made),
        packing=packing,
        remarks=(*_not_in(scene), *_worth_saying(detail, made, patterns)),
        left_out=left_out,
        order=names_in_order(detail, made_so),
        pieces={one.name: one for one in made},
        detail=detail,
    )


def _worth_saying(
    detail: Detail, made: Sequence[Piece], patterns: Sequence[Pattern]
) -> tuple[str, ...]:
    """What whoever makes the pieces should know, of pieces that are cut as these patterns are."""
    lapping = {one.piece for one in patterns if one.laps}
    parted = {one.piece for one in patterns if any(seam.meets != "itself" for seam in one.worked)}
    joined = {name: how_joined(detail) for name in parted}
    return worth_saying(detail, made, lapping=lapping, joined=joined)


def _why(blank: Blank, stock: Sequence[Stock]) -> str:
    wide, long = sorted((blank.width, blank.height))
    most = max(stock, key=lambda one: (min(one.width, one.length), one.length))
    return f"{blank.name} is {wide * 1000:.0f} x {long * 1000:.0f} mm, the widest stock is a {most.words}"


def _not_in(scene: Scene) -> list[str]:
    """The faults that the blanks don't have."""
    return [
        f"{one.label} {NOT_IN_BLANKS}"
        for one in scene.faults
        if not isinstance(one.fault, OnMeasures)
    ]
