"""Why a leak is there, in two to four plain sentences put together from the course of its water."""

from __future__ import annotations

from meshes.parts import Role
from sim.leaks_came import came
from sim.leaks_causes import Cause
from sim.leaks_course import Course
from sim.leaks_figures import WORTH, amount_words, at_the_stack, figures, gust_words, mm
from sim.leaks_how import how
from sim.leaks_words import Story

FELT = 5.0
"""A fall of pressure under this is not worth a word [Pa]: half a millimetre of water."""
SHORT_FALL = 0.010
"""Nor is a fall under this [m], or what comes out less far aside."""
MOST_SENTENCES = 4


def why(story: Story, course: Course, amount: tuple[float, float] | None) -> str:
    """Two to four sentences: what the water ran along, how it gets in and what drives it, where it
    comes out and how much of it.

    amount: share of the rain that landed [1] and flow [m3/s], None when nobody knows.
    """
    if story.cause is Cause.FELL_STRAIGHT_IN:
        told = [
            f"Rain falls straight onto the {story.goal}{_at(course, ' ')}.",
            "No sheet keeps it off there.",
        ]
    else:
        way = came(course, "Rain that lands" if amount else "Water")
        named = story.came_from in way
        subject = (
            "There it" if named else f"{'There w' if way else 'W'}ater on the {story.came_from}"
        )
        told = [way, how(story, course, subject), _beneath(story, course), _out(story, course)]
        told = [sentence for sentence in told if sentence]
    if amount is not None:
        much = amount_words(*amount)
        if len(told) < MOST_SENTENCES:
            told.append(f"That is {much}.")
        else:
            told[-1] = f"{told[-1][:-1]}; that is {much}."
    return " ".join(told)


def _beneath(story: Story, course: Course) -> str:
    """How far it gets beneath the sheet; nothing where it did not run beneath one."""
    under = course.beneath
    if under.length < WORTH:
        return ""
    if story.cause is Cause.OVER_A_TOP_EDGE:
        return f"Behind, it runs down {mm(under.sank)}." if under.sank >= WORTH else ""
    far = _how_far(course)
    if under.rise >= WORTH and not course.push:
        lifts = f"lifts it {mm(under.rise)}{_of_the_rise(course)}, which takes {_force(under.lift)}"
        return f"Beneath, the wind {lifts}, and pushes it {far}."
    if under.inward >= WORTH and under.pressure >= FELT:
        return f"Beneath, the wind's pressure, {_force(under.pressure)}, pushes it {far}."
    return f"Beneath, it gets {far}."


def _force(pressure: float) -> str:
    return f"{figures(pressure, 2)} Pa as from a gust of {gust_words(pressure)}"


def _of_the_rise(course: Course) -> str:
    lap = course.lap
    return f" of the {mm(lap.rise)} that the lap rises" if lap and lap.rise >= WORTH else ""


def _how_far(course: Course) -> str:
    """How far in it gets, as in "55 mm in from the edge, of the 60 mm that the sheets lap there"."""
    under, lap = course.beneath, course.lap
    if under.inward < WORTH:
        far = f"{mm(under.length)} along the edge"
    elif lap is None:
        far = f"{mm(under.inward)} in from the edge"
    elif under.inward > lap.length - WORTH:
        far = f"across all of the {mm(lap.length)} that the sheets lap there"
    else:
        far = f"{mm(under.inward)} in, of the {mm(lap.length)} that the sheets lap there"
    return f"{far}; by then it is {mm(under.sank)} lower" if under.sank >= WORTH else far


def _out(story: Story, course: Course) -> str:
    """Where it comes out, and how far from the way in."""
    verb = "reaches" if story.goal_role is Role.INSIDE else "comes out on"
    falls = f"falls about {mm(course.fell)} and " if course.fell >= SHORT_FALL else ""
    off = [] if falls and abs(course.lower - course.fell) < SHORT_FALL else [_lower(course.lower)]
    if course.beside >= SHORT_FALL:
        off.append(f"{mm(course.beside)} {'away' if off else 'aside'}")
    told = f", {' and '.join(off)}" if off else ""
    return f"From there it {falls}{verb} the {story.goal}{told}{_at(course, ', ')}."


def _lower(lower: float) -> str:
    if abs(lower) < WORTH:
        return "level with the way in"
    return f"{mm(abs(lower))} {'below' if lower > 0 else 'above'} the way in"


def _at(course: Course, before: str) -> str:
    return f"{before}{at_the_stack(course.comes_out_at)}" if course.comes_out_at else ""
