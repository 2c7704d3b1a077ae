"""The sentence that tells where rain landed and what it ran along, up to its way in."""

from __future__ import annotations

from meshes.parts import Role
from sim.leaks_course import Course
from sim.leaks_figures import WORTH, at_the_stack, mm
from sim.leaks_run import Stretch

ASIDE = 0.020
"""That water was pushed less than this aside on its way [m] is not worth a word."""


def came(course: Course, start: str) -> str:
    """The sentence, or nothing where the water was at its way in from the first; start: "Rain that lands"
    or "Water"."""
    told = _worth_telling(course.run)
    clauses = [_ran(stretch, course, number) for number, stretch in enumerate(told)]
    if not clauses:
        return ""
    return f"{start} on {_landed(course)} {_listed(clauses)}{_pushed(course)}."


def _worth_telling(run: tuple[Stretch, ...]) -> list[Stretch]:
    """The first stretch and the last two, less those that are next to nothing."""
    told = [stretch for stretch in run if stretch.length >= WORTH or stretch.fall > 0]
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


def _pushed(course: Course) -> str:
    if course.blown < ASIDE:
        return ""
    pusher = "push" if course.push else "wind"
    return f", while the {pusher} moves it {mm(course.blown)} aside"
