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
FAR_OFF = 0.010
"""Of a sheet farther off than this [m] it isn't said how far: its edge may reach down from its plane."""


def how(story: Story, course: Course, ran_last: str) -> str:
    """The sentence; ran_last: the part that the water was last said to run along, empty for none."""
    told = {
        Cause.THROUGH_A_CORNER: _through_a_corner,
        Cause.THROUGH_A_GAP: _through_a_gap,
        Cause.OVER_A_TOP_EDGE: _over_a_top_edge,
        Cause.OVERTOPPED: _overtopped,
        Cause.PAST_AN_END: _past_an_end,
    }.get(story.cause, _under)
    here = story.came_from
    if not ran_last:
        return f"Water on the {here} {told(story, course)}."
    if ran_last == here or story.cause is Cause.THROUGH_A_GAP:
        return f"There it {told(story, course)}."
    # The part was named just now: what follows is about "its" edge or end.
    rest = told(story, course).replace(f"runs off the end of the {here}", "off its end", 1)
    for edge in (*Edge, "edge", "end"):
        rest = rest.replace(f"the {edge} of the {here}", f"its {edge}", 1) if edge else rest
    return f"There it runs onto the {here} and {rest}."


def _under(story: Story, course: Course) -> str:
    here, there = story.came_from, story.behind
    own_back = here == there and story.came_from_role is not Role.COVERING
    # Nothing climbs in beneath an upper edge: what rises there turns at a corner of the sheet.
    turns = story.cause is Cause.DRIVEN_UP_A_LAP and course.edge is Edge.UPPER and not own_back
    edge = "edge" if turns else course.edge or "edge"
    to = "round to that sheet's back" if own_back else "in beneath"
    drives = {
        Cause.DRIVEN_UP_A_LAP: f"{_pusher(course)} drives it {to}, {_uphill(course)}",
        Cause.BLOWN_ACROSS: f"{_pusher(course)} drives it {to}, sideways",
    }.get(story.cause, f"{_weight(course)} takes it {to}")
    if own_back:
        return f"comes to the {edge} of the {there}; {drives}"
    if here == there:
        return f"meets the {edge} of the next course; {drives}"
    return f"meets the {edge} of the {there}{_above(course, here)}; {drives}"


def _uphill(course: Course) -> str:
    return "uphill" if course.beneath.rise >= WORTH else "a little uphill at first"


def _above(course: Course, here: str) -> str:
    if isnan(course.slit) or course.slit > FAR_OFF:
        return ""
    if course.slit < TOUCHES:
        return f", which lies on the {here}"
    return f", which lies {mm(course.slit)} above the {here}"


def _over_a_top_edge(story: Story, course: Course) -> str:
    here, there = story.came_from, story.behind
    if here == there:
        return f"flows over the top edge of the {there} and down its back"
    off = "" if isnan(course.slit) else f", which stands {mm(course.slit)} off the {here}"
    return f"meets the top edge of the {there}{off}: that slit is open, and {_taker(course)} down behind"


def _through_a_corner(story: Story, course: Course) -> str:
    return (
        f"comes to the slit between the {story.pair} at the corner of the stack, and {_taker(course)} "
        "through"
    )


def _through_a_gap(story: Story, course: Course) -> str:
    return (
        f"comes to a gap in the {story.behind} itself, {mm(course.gap)} wide, and {_taker(course)} "
        "through"
    )


def _overtopped(story: Story, course: Course) -> str:
    deep = f" {mm(course.depth)} deep" if course.depth >= TOUCHES else ""
    spills = f"stands{deep} on the {story.came_from} until it spills over the lowest rim"
    return spills if story.behind == story.came_from else f"{spills}, behind the {story.behind}"


def _past_an_end(story: Story, course: Course) -> str:
    here, there = story.came_from, story.behind
    if story.drips_off_the_stack:
        return f"drips off the {here} past the ends of the flashings, and none catches it"
    if story.past and here == there:
        return f"runs off the end of the {here}, and no sheet beyond catches it"
    if story.past:
        far = f"{mm(course.misses)} " if course.misses >= TOUCHES else ""
        return f"falls {far}past the end of the {there}, which does not reach far enough"
    if story.ends == there:
        driven = f", driven by {_pusher(course)}" if course.driven else ""
        return f"goes round the end of the {there} and behind it{driven}"
    return f"runs off the end of the {here} and comes down behind the {there}"


def _taker(course: Course) -> str:
    """What takes water through an opening: the wind where the path says so, or its weight."""
    return f"{_pusher(course)} drives it" if course.driven else f"{_weight(course)} takes it"


def _weight(course: Course) -> str:
    """What takes water along that no wind drives."""
    push = f"the push of {figures(course.push, 2)} m/s2"
    return f"its weight with {push}" if course.push else "its own weight"


def _pusher(course: Course) -> str:
    return f"the push of {figures(course.push, 2)} m/s2" if course.push else "the wind"
