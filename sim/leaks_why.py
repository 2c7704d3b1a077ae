"""Why a leak is there, in two to four plain sentences put together from the course of its water."""

from __future__ import annotations

from meshes.parts import Role
from sim.leaks_came import came, worth_telling
from sim.leaks_causes import Cause
from sim.leaks_course import Course
from sim.leaks_figures import WORTH, amount_words, at_the_stack, gust_words, mm, water_column
from sim.leaks_how import how
from sim.leaks_table import LONG_FALL
from sim.leaks_words import Story

FELT = 10.0
"""A fall of pressure under this is not worth a word [Pa]: a millimetre of water."""
SHORT_FALL = 0.010
"""Nor is a fall under this [m], or what comes out less far aside."""
MOST_SENTENCES = 4
DOWN_A_BACK = (Cause.OVER_A_TOP_EDGE, Cause.THROUGH_A_GAP)
"""Ways in from which water needs no wind to go on."""


def why(story: Story, course: Course, amount: tuple[float, float] | None) -> str:
    """Two to four sentences: what the water ran along, how it gets in and what drives it, where it
    comes out and how much of it.

    amount: share of the rain that landed [1] and flow [m3/s], None when nobody knows.
    """
    if story.cause is Cause.FELL_STRAIGHT_IN:
        told = [
            f"Rain falls straight onto the {story.goal}{_at(course)}.",
            "No sheet keeps it off there.",
        ]
    else:
        way = came(course, "Rain that lands" if amount else "Water")
        run = worth_telling(course.run)
        last = run[-1].part if way else ""
        told = [way, how(story, course, last), _beneath(story, course), _out(story, course)]
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
    behind = "Beneath" if story.came_from_role is Role.COVERING else "Behind"
    sinks = f"{behind}, it runs down {mm(under.sank)}." if under.sank >= LONG_FALL else ""
    if story.cause in DOWN_A_BACK:
        return sinks
    far = _how_far(course)
    if under.rise >= WORTH and not course.push:
        lifts = f"lifts it {mm(under.rise)} there, which takes a gust of {gust_words(under.lift)}"
        return f"The wind {lifts}, and pushes it {far}."
    if under.inward >= WORTH and under.pressure >= FELT:
        # Near a lap's ends the pressure falls along the edge too, so that its mean is no more than near.
        force = f"about that of {water_column(under.pressure)} of water"
        return f"The wind's pressure there, {force}, pushes it {far}."
    runs = story.cause is Cause.PAST_AN_END or story.came_from == story.behind
    return sinks if runs or under.inward < WORTH else f"Beneath, it gets {far}."


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
    return f"{far}; it comes out {mm(under.sank)} lower" if under.sank >= WORTH else far


def _out(story: Story, course: Course) -> str:
    """Where it comes out, and how far from the way in."""
    falls = course.fell >= SHORT_FALL
    off = [] if falls and abs(course.lower - course.fell) < SHORT_FALL else [_lower(course.lower)]
    if course.beside >= SHORT_FALL:
        off.append(f"{mm(course.beside)} {'away' if off else 'aside'}")
    told = f"{_at(course)}{', ' if off else ''}{' and '.join(off)}"
    if story.goal_role is Role.INSIDE:
        fall = f"falls about {mm(course.fell)} and " if falls else ""
        return f"From there it {fall}reaches the {story.goal}{told}."
    verb = f"falls about {mm(course.fell)} onto" if falls else "comes out on"
    return f"From there it {verb} the {story.goal}{told}."


def _lower(lower: float) -> str:
    if abs(lower) < WORTH:
        return "level with the way in"
    return f"{mm(abs(lower))} {'below' if lower > 0 else 'above'} the way in"


def _at(course: Course) -> str:
    return f" {at_the_stack(course.comes_out_at)}" if course.comes_out_at else ""
