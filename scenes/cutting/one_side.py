"""The pieces of a scene as they are made: its measures, its faults, and those of one side alone."""

from __future__ import annotations

from dataclasses import dataclass

from meshes.build import pieces
from meshes.piece import Piece
from meshes.spec import Detail
from scenes.cutting.before_dressing import before_dressing
from scenes.faults.fault import SIDES, Asked, OnMeasures
from scenes.scene import Scene


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """made_so: the pieces, as `meshes.build.pieces` has them; straight: those whose covers are dressed over
    the courses, before that, by the same keys."""

    made_so: dict[str, Piece]
    straight: dict[str, Piece]


def made_of(scene: Scene, detail: Detail) -> Made:
    """The pieces of a scene, whose faults have been tried (`scenes.faults.apply.with_faults`).

    detail: as it is made, with the faults that are all round. A fault of one side alone changes that
    side's pieces and those named in it, as in the built parts. Raises PieceError.
    """
    made_so = pieces(detail)
    straight = before_dressing(detail, made_so)
    changed: dict[str, Detail] = {}
    for place, own, some in _alone(scene, detail):
        for one in some:
            fault = _on_measures(one)
            before = changed.get(place, detail)
            changed[place] = fault.change(before, (place,), fault.in_si(one.amount))
        wrong = pieces(changed[place])
        dressed = before_dressing(changed[place], wrong)
        begins = f"{place} {own}"
        beside = {name for one in some for name in _on_measures(one).side_alone or ()}
        made_so = _taken_over(made_so, wrong, begins, beside)
        straight = {key: made for key, made in straight.items() if not _is_of(made, begins, beside)}
        straight |= {key: made for key, made in dressed.items() if _is_of(made, begins, beside)}
    return Made(made_so, straight)


def is_of_one_side(one: Asked) -> bool:
    """Whether a fault takes over one side's pieces, or each side's by itself."""
    fault = one.fault
    return isinstance(fault, OnMeasures) and (
        fault.side_by_side or (fault.side_alone is not None and one.place in SIDES)
    )


def _alone(scene: Scene, detail: Detail) -> list[tuple[str, str, list[Asked]]]:
    """The faults of one side's pieces, by the side and by what those are called there."""
    found: dict[tuple[str, str], list[Asked]] = {}
    for one in scene.faults:
        if is_of_one_side(one):
            fault = _on_measures(one)
            places = (one.place,) if one.place else fault.places
            for place in places:
                if not fault.lacks(detail, place):
                    found.setdefault((place, fault.own), []).append(one)
    return [(place, own, some) for (place, own), some in sorted(found.items(), key=lambda a: a[0])]


def _on_measures(one: Asked) -> OnMeasures:
    assert isinstance(one.fault, OnMeasures)
    return one.fault


def _is_of(made: Piece, begins: str, beside: set[str]) -> bool:
    return made.name.startswith(begins) or made.name in beside


def _taken_over(
    right: dict[str, Piece], wrong: dict[str, Piece], begins: str, beside: set[str]
) -> dict[str, Piece]:
    """The pieces with those of a side, and those beside, as they are made wrong, in their places."""
    found: dict[str, Piece] = {}
    own = {key: made for key, made in wrong.items() if made.name.startswith(begins)}
    for key, made in right.items():
        if made.name.startswith(begins):
            found |= own
            own = {}
        elif made.name in beside:
            found[key] = next((one for one in wrong.values() if one.name == made.name), made)
        else:
            found[key] = made
    return found
