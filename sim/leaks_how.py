"""The sentence that tells how water gets in: the edge it passes, the slit there, what drives it."""

from __future__ import annotations

from math import isnan

from meshes.parts import Role
from sim.leaks_causes import Cause
from sim.leaks_course import Course
from sim.leaks_edge import Edge
from sim.leaks_figures import WORTH, figures, mm
from sim.leaks_words import Story

TOUCHES = 5e-4
"""Sheets nearer to each other than this [m] are said to touch."""


def how(story: Story, course: Course, subject: str) -> str:
    """The sentence; subject: what it begins with, "There it" or the water's name."""
    told = {
        Cause.THROUGH_A_CORNER: _through_a_corner,
        Cause.OVER_A_TOP_EDGE: _over_a_top_edge,
        Cause.OVERTOPPED: _overtopped,
        Cause.PAST_AN_END: _past_an_end,
    }.get(story.cause, _under)
    return f"{subject} {told(story, course)}."


def _under(story: Story, course: Course) -> str:
    here, there = story.came_from, story.behind
    edge = course.edge if course.edge is not Edge.NONE else "edge"
    own_back = here == there and story.came_from_role is not Role.COVERING
    to = "round to that sheet's back" if own_back else "in beneath"
    drives = {
        Cause.DRIVEN_UP_A_LAP: f"{_pusher(course)} drives it {to}, {_uphill(course)}",
        Cause.BLOWN_ACROSS: f"{_pusher(course)} moves it sideways {to}",
    }.get(story.cause, f"{_weight(course)} takes it {to}")
    if own_back:
        return f"comes to the {edge} of the {there}, and {drives}"
    if here == there:
        return f"comes to a {edge} in the {there} itself, and {drives}"
    return f"meets the {edge} of the {there}{_above(course, here)}, and {drives}"


def _uphill(course: Course) -> str:
    return "uphill" if course.beneath.rise >= WORTH else "a little uphill at first"


def _above(course: Course, here: str) -> str:
    if isnan(course.slit):
        return ""
    if course.slit < TOUCHES:
        return f", which lies on the {here}"
    return f", which lies {mm(course.slit)} above the {here}"


def _over_a_top_edge(story: Story, course: Course) -> str:
    here, there = story.came_from, story.behind
    if here == there:
        return f"flows over the top edge of the {there} and down its back"
    off = "" if isnan(course.slit) else f", which stands {mm(course.slit)} off the {here}"
    return (
        f"meets the top edge of the {there}{off}: that slit is open, and {_weight(course)} takes it down "
        "behind"
    )


def _through_a_corner(story: Story, course: Course) -> str:
    return (
        f"comes to the slit where the cut edges of the {story.pair} meet, and {_weight(course)} takes it "
        "through"
    )


def _overtopped(story: Story, course: Course) -> str:
    deep = f" {mm(course.depth)} deep" if course.depth >= TOUCHES else ""
    spills = f"stands{deep} on the {story.came_from} until it spills over the lowest rim"
    return spills if story.behind == story.came_from else f"{spills}, behind the {story.behind}"


def _past_an_end(story: Story, course: Course) -> str:
    here, there = story.came_from, story.behind
    if story.drips_off_the_stack:
        return f"drips off the {here} where no flashing reaches, and none takes it up"
    if story.past and here == there:
        return f"leaves the {here} where that ends, and no sheet beyond takes it up"
    if story.past:
        far = f"{mm(course.misses)} " if course.misses >= TOUCHES else ""
        return f"falls {far}past the end of the {there}, which does not reach far enough"
    if story.ends == there:
        return f"goes round the end of the {there} and behind it"
    return f"leaves the {here} where that ends and comes down behind the {there}"


def _weight(course: Course) -> str:
    """What takes water along that no wind drives."""
    push = f"the push of {figures(course.push, 2)} m/s2"
    return f"its weight with {push}" if course.push else "its own weight"


def _pusher(course: Course) -> str:
    return f"the push of {figures(course.push, 2)} m/s2" if course.push else "the wind"
