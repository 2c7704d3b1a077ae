"""From answers to the values of a scene file, and to what is usual where nothing was measured."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, fields
from math import degrees
from pathlib import Path
from typing import Any, Final

from meshes.spec import Detail
from scenes.measures import PIECES, SOUND, si_name
from scenes.measuring.question import Known, Question, Value
from scenes.places import Loc
from scenes.scene import Scene, of_data
from scenes.units import Units

TALL = 6000.0
"""A stack of this height [mm] stands out of every roof."""
STAND_INS: Final[Mapping[Loc, float]] = {
    ("roof", "pitch_deg"): round(degrees(float(SOUND["pitch"])), 9),  # type: ignore[arg-type]
    ("stack", "width_mm"): float(SOUND["width"]) * 1000,  # type: ignore[arg-type]
    ("stack", "depth_mm"): float(SOUND["depth"]) * 1000,  # type: ignore[arg-type]
    ("stack", "height_mm"): TALL,
}
"""For what a scene must have, and for what other measures depend on, until it is asked for."""


@dataclass(frozen=True, slots=True)
class Answer:
    """value: mm, degrees or the choice's name, None for not measured; typed: as it was answered."""

    key: str
    value: Value | None
    typed: str


def data_of(questions: Sequence[Question], known: Known) -> dict[str, Any]:
    """What was measured, as a scene file holds it: tables and keys."""
    data: dict[str, Any] = {}
    for question in questions:
        if question.key not in known:
            continue
        for place in question.places:
            *tables, key = (str(step) for step in place)
            holder = data
            for table in tables:
                holder = holder.setdefault(table, {})
            holder[key] = question.put(known[question.key], known)
    return data


def scene_so_far(questions: Sequence[Question], known: Known, answered: Container[str]) -> Scene:
    """The scene of what is known, usual values for the rest. Raises SceneError as a scene file would.

    answered: the keys of the questions that were answered, measured or not.
    """
    data = data_of(questions, known)
    for question in questions:
        for place in question.places:
            if place in STAND_INS and question.key not in answered:
                data.setdefault(str(place[0]), {})[str(place[1])] = STAND_INS[place]
    return of_data(data, "", "", Path(), {})


def usual(question: Question, detail: Detail, known: Known, units: Units) -> str:
    """What is taken where a question is not answered, in words; "" where it must be, or proves another."""
    if question.needed or (not question.places and question.choices is None):
        return ""
    if question.choices is not None:
        return _usual_choice(question, detail)
    built = built_at(detail, question.places[0])
    if built is None:
        return question.auto
    return units.length(round(_measured(question, built * 1000, known)) / 1000)


def built_at(detail: Detail, place: Loc) -> Any:
    """What the builder takes at a place of a scene file [m, rad]; its own default under a stand-in."""
    *tables, key = (str(step) for step in place)
    if place in STAND_INS:
        return next(one.default for one in fields(PIECES[tables[0]]) if one.name == si_name(key))
    holder = getattr(detail, tables[0]) if tables else detail
    return getattr(holder, si_name(key))


def _usual_choice(question: Question, detail: Detail) -> str:
    assert question.choices is not None
    built = built_at(detail, question.places[0]) if question.places else None
    return next((name for name, value in question.choices.items() if value == built), "") or next(
        iter(question.choices)
    )


def _measured(question: Question, millimetres: float, known: Known) -> float:
    return question.read_back(millimetres, known) if question.read_back else millimetres
