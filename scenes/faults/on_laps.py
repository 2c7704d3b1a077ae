"""Faults of laps put together the wrong way round: the piece above under the one that it should cover."""

from __future__ import annotations

from dataclasses import replace

from meshes.spec import Detail
from scenes.faults.fault import SIDES, Change, Fault, Lacks, OnMeasures
from scenes.faults.usual import how_many, tuckable


def _laps_none(word: str) -> Lacks:
    """Why no piece of a kind beside the stack can lie under the one below it."""

    def lacks(detail: Detail, place: str) -> str:
        number = how_many(detail, place, word)
        if number == 0:
            return f"has no separate {word}s at its {place}"
        if number == 1:
            return f"has one {word} at its {place}, which laps no other"
        if tuckable(detail, place, word) == 0:
            return f"has no {word} at its {place} with room to lie under the one below it"
        return ""

    return lacks


def _tucked(key: str, word: str) -> Change:
    def change(detail: Detail, places: tuple[str, ...], amount: float) -> Detail:
        number = min(tuckable(detail, place, word) for place in places)
        return replace(detail, sides=replace(detail.sides, **{key: number}))  # type: ignore[arg-type]

    return change


def _no_flashing_over(detail: Detail, place: str) -> str:
    table = detail.apron if place == "front" else detail.gutter
    if not table.two_part:
        return f"has no separate cover flashing at the {place}"
    if detail.joint == "bossed":
        return 'has corners of the kind "bossed", where none can be got behind the upstand'
    return f"has its {place} cover flashing behind the upstand already" * table.flashing_tucked


def _flashing_behind(detail: Detail, places: tuple[str, ...], amount: float) -> Detail:
    for place in places:
        if place == "front":
            detail = replace(detail, apron=replace(detail.apron, flashing_tucked=True))
        else:
            detail = replace(detail, gutter=replace(detail.gutter, flashing_tucked=True))
    return detail


LAPS: tuple[Fault, ...] = (
    OnMeasures(
        name="soaker tucked under",
        done_wrong="A soaker was laid a course too early: its lower end lies under the soaker below it.",
        found="seldom",
        look="Lift the tiles beside the stack on that side one by one: two soakers lie together on one"
        " course, and the next course has none.",
        bad="one soaker, in the middle: the soaker below it lies over it",
        places=SIDES,
        lacks=_laps_none("soaker"),
        change=_tucked("tucked_soaker", "soaker"),
        side_alone=("covering",),
        own="soaker",
    ),
    OnMeasures(
        name="step tucked under",
        done_wrong="The steps were fixed from the top down: a step's lower end lies under the one below it.",
        found="sometimes",
        look="Look up that side of the stack at the steps' upright edges: one is hidden behind the step"
        " below it.",
        bad="one step, in the middle: the step below it lies over it",
        places=SIDES,
        lacks=_laps_none("step"),
        change=_tucked("tucked_step", "step"),
        side_alone=(),
        own="step",
    ),
    OnMeasures(
        name="step behind the soakers",
        done_wrong="A step was pushed down behind the soakers' upturns, not in front of them.",
        found="seldom",
        look="Look in under the steps on that side: behind one of them no soaker stands, for its upturn"
        " stands in front of that step.",
        bad="one step, in the middle: the soakers' upturns over it",
        places=SIDES,
        lacks=_laps_none("step"),
        change=_tucked("step_behind", "step"),
        side_alone=(),
        own="step",
    ),
    OnMeasures(
        name="cover flashing tucked behind",
        done_wrong="The cover flashing was pushed down behind the upstand that it should cover.",
        found="seldom",
        look="See whether the upstand's raw top edge shows on that side, with the strip out of the chase"
        " going down behind it.",
        bad="turned round: the upstand over the cover flashing",
        places=("front", "back"),
        lacks=_no_flashing_over,
        change=_flashing_behind,
    ),
)
"""Laps turned round that no dressing order of a scene tells."""
