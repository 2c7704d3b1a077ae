"""The sentence that tells where rain landed and what it ran along, up to its way in."""

from __future__ import annotations

from dataclasses import replace

from meshes.parts import Role
from sim.leaks_course import Course
from sim.leaks_figures import WORTH, at_the_stack, mm
from sim.leaks_run import Stretch

ASIDE = 0.020
"""That water was pushed less than this aside on its way [m] is not worth a word."""
HARDLY = 0.15
"""Nor that it was by less than this share of its way [1]."""
MOSTLY = 0.8
"""Share of its way that water is pushed aside from which on it is blown across, not running down [1]."""


def came(course: Course, start: str) -> str:
    """The sentence, or nothing where the water was at its way in from the first; start: "Rain that lands"
    or "Water"."""
    told = worth_telling(course.run)
    if not told:
        return ""
    whole = sum(stretch.length for stretch in told)
    if len(told) == 1 and ASIDE <= course.blown > MOSTLY * whole and not told[0].fall:
        where = "it" if told[0].part == course.landed_on else f"the {told[0].part}"
        return (
            f"{start} on {_landed(course)} is {_pushed_along(course)} {mm(whole)} across {where}."
        )
    clauses = [_ran(stretch, course, number) for number, stretch in enumerate(told)]
    return f"{start} on {_landed(course)} {_listed(clauses)}{_pushed(course, whole)}."


def worth_telling(run: tuple[Stretch, ...]) -> list[Stretch]:
    """The first stretch and the last two, less those that are next to nothing; two on one part with such
    a one between them are one."""
    told: list[Stretch] = []
    for stretch in run:
        if stretch.length < WORTH and not stretch.fall:
            continue
        if told and told[-1].part == stretch.part and not stretch.fall:
            before = told.pop()
            stretch = replace(before, length=before.length + stretch.length)
        told.append(stretch)
    return told if len(told) < 4 else [told[0], *told[-2:]]


def _ran(stretch: Stretch, course: Course, number: int) -> str:
    first = number == 0
    down = "down" if stretch.role is Role.STACK else "along"
    on_it = first and stretch.part == course.landed_on
    if not stretch.fall:
        where = "it" if on_it else f"the {stretch.part}"
        return f"{'runs about ' if first else ''}{mm(stretch.length)} {down} {where}"
    falls = f"falls {'about ' if first else ''}{mm(stretch.fall)} onto the {stretch.part}"
    return f"{falls} and runs {mm(stretch.length)} {down} it" if stretch.length >= WORTH else falls


def _listed(clauses: list[str]) -> str:
    """ "a", "a, then b" or "a, b, then c"."""
    *others, last = clauses
    return f"{', '.join(others)}, then {last}" if others else last


def _landed(course: Course) -> str:
    if course.landed_role is Role.STACK and course.landed_at:
        top = course.landed_at == "stack itself"
        corner = " corner" if " " in course.landed_at else ""
        return f"the {'top' if top else course.landed_at + corner} of the {course.landed_on}"
    told = course.landed_role is not Role.FLASHING and course.landed_at
    return f"the {course.landed_on}{' ' + at_the_stack(course.landed_at) if told else ''}"


def _pushed_along(course: Course) -> str:
    return "pushed about" if course.push else "blown about"


def _pushed(course: Course, whole: float) -> str:
    if course.blown < max(ASIDE, HARDLY * whole):
        return ""
    pusher = "push" if course.push else "wind"
    return f", while the {pusher} moves it {mm(course.blown)} aside"
