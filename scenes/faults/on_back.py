"""Faults of what is behind the stack, of the underlay there, and of the covering round it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import atan, cos, radians

from meshes.build import square_to_slope
from meshes.courses import Courses
from meshes.layout import layout_of
from meshes.rules import SHORTEST_LAP, lap_for_rise, underlay_lap
from meshes.spec import BackGutter, Detail, Leaves, Roof
from scenes.faults.fault import SIDES, Fault, Lacks, OnMeasures
from scenes.faults.usual import (
    beyond_of,
    has_back,
    has_level_sole,
    lap_of,
    leg_of,
    saddle_of,
    underlay_lap_of,
)

NO_BACK = "stands through a ridge and has nothing behind it"
MORE = 0.002  # [m] a rule that asks for less than this more than 150 mm asks for 150 mm
STEEP_UNDERLAY = underlay_lap(radians(40))  # [m] the underlay's lap on a steep roof
LEAVES_LONG = 0.2  # [m] a heap's length: `spec.Debris`, no source


def _no_back(detail: Detail, place: str) -> str:
    return "" if has_back(detail) else NO_BACK


def _no_sole(detail: Detail, place: str) -> str:
    if not has_back(detail):
        return NO_BACK
    if saddle_of(detail):
        return "has a saddle behind it, no level gutter"
    return (
        "" if has_level_sole(detail) else "has a back that isn't level, and no gutter with a sole"
    )


def _no_saddle(detail: Detail, place: str) -> str:
    if not has_back(detail):
        return NO_BACK
    return "" if saddle_of(detail) else "has no saddle"


def _only_square(what: str) -> Lacks:
    def lacks(detail: Detail, place: str) -> str:
        if missing := _no_sole(detail, place):
            return missing
        plain = "has no plain gutter behind a stack square to the slope"
        if not square_to_slope(detail):
            return f"{plain}, which {what} needs"
        lying = detail.debris.leaves != "none" or detail.debris.snow > 0
        return "has leaves or snow in its gutter already" if lying else ""

    return lacks


def _gutter(
    change: Callable[[Detail, float], BackGutter],
) -> Callable[[Detail, tuple[str, ...], float], Detail]:
    return lambda detail, places, amount: replace(detail, gutter=change(detail, amount))


def _roof(
    change: Callable[[Detail, float], Roof],
) -> Callable[[Detail, tuple[str, ...], float], Detail]:
    return lambda detail, places, amount: replace(detail, roof=change(detail, amount))


def _leaves(detail: Detail, places: tuple[str, ...], amount: float) -> Detail:
    both: Leaves = "both"
    ends: Leaves = both if len(places) > 1 else "left" if places == ("left",) else "right"
    heap = replace(detail.debris, leaves=ends, leaves_high=amount, leaves_long=LEAVES_LONG)
    return replace(detail, debris=heap)


def _with_sole(detail: Detail, *, sole: float, fall: float) -> Detail:
    """Another sole, with the covering left where it is: it is set out from the sole's upper end."""
    was = detail.gutter.sole * cos(detail.gutter.sole_fall)
    opened = detail.roof.gutter_open + (was - sole * cos(fall)) / cos(detail.roof.pitch)
    gutter = replace(detail.gutter, sole=sole, sole_fall=fall)
    return replace(detail, roof=replace(detail.roof, gutter_open=opened), gutter=gutter)


def courses_of(detail: Detail) -> Courses:
    """The courses below the sheet behind the stack. Raises PieceError."""
    if square_to_slope(detail):
        return layout_of(detail).courses
    from meshes.around.scheme import scheme_of

    return scheme_of(detail).courses


def _rule_asks(detail: Detail) -> float:
    """Length [m] of the lap up under the covering by the 75 mm rise rule."""
    return lap_for_rise(atan(courses_of(detail).slope))


def _steep(detail: Detail, place: str) -> str:
    if not has_back(detail):
        return NO_BACK
    if _rule_asks(detail) <= SHORTEST_LAP + MORE:
        return "is steep enough for laps of 150 mm"
    if leg_of(detail) <= SHORTEST_LAP:
        return "has a lap of 150 mm or less already"
    return ""


def _wrong_laps(detail: Detail, places: tuple[str, ...], amount: float) -> Detail:
    gutter = replace(detail.gutter, leg=SHORTEST_LAP, lap=min(lap_of(detail), SHORTEST_LAP))
    roof = replace(detail.roof, underlay_lap=min(underlay_lap_of(detail), STEEP_UNDERLAY))
    return replace(detail, roof=roof, gutter=gutter)


BACK: tuple[Fault, ...] = (
    OnMeasures(
        name="gutter too narrow",
        done_wrong="The gutter's sole was made too narrow to take what comes down to it.",
        found="often",
        look="Measure the flat of the gutter behind the stack, from the wall to where the sheet turns up"
        " the slope: 150 mm is the least.",
        bad="sole {} mm short",
        unit="mm",
        usual=60,
        least=10,
        most=200,
        lacks=_no_sole,
        change=lambda detail, places, amount: _with_sole(
            detail, sole=detail.gutter.sole - amount, fall=detail.gutter.sole_fall
        ),
    ),
    OnMeasures(
        name="gutter too short",
        done_wrong="The sheet behind the stack was cut too short to reach past the side flashings.",
        found="sometimes",
        look="See whether the sheet behind the stack reaches out past the side flashings' free edges at"
        " both ends.",
        bad="{} mm short at each end",
        unit="mm",
        usual=120,
        least=10,
        most=400,
        lacks=_no_back,
        change=_gutter(
            lambda detail, a: replace(detail.gutter, beyond_stack=beyond_of(detail) - a)
        ),
    ),
    OnMeasures(
        name="gutter end lap too short",
        done_wrong="The gutter's ends were cut too short down over the side flashings.",
        found="sometimes",
        look="Measure how far the sheet behind the stack laps down over each side flashing: 150 mm is the"
        " least.",
        bad="lap {} mm short",
        unit="mm",
        usual=100,
        least=10,
        most=300,
        lacks=_no_back,
        change=_gutter(lambda detail, a: replace(detail.gutter, lap=lap_of(detail) - a)),
    ),
    OnMeasures(
        name="gutter leg too short",
        done_wrong="The gutter doesn't go far enough up under the covering.",
        found="often",
        look="Lift the first course behind the stack and measure how far up the sheet goes: it should rise"
        " 75 mm.",
        bad="lap {} mm short",
        unit="mm",
        usual=80,
        least=10,
        most=400,
        lacks=_no_back,
        change=_gutter(lambda detail, a: replace(detail.gutter, leg=leg_of(detail) - a)),
    ),
    OnMeasures(
        name="no welt",
        done_wrong="The gutter's top edge was left without a fold to stop water driven up it.",
        found="often",
        look="Lift the first course behind the stack and feel the sheet's top edge: it should be folded"
        " back, not cut plain.",
        bad="welt missing",
        lacks=lambda detail, place: (
            _no_back(detail, place) or ("" if detail.gutter.welt > 0 else "has no welt already")
        ),
        change=_gutter(lambda detail, _: replace(detail.gutter, welt=0.0)),
    ),
    OnMeasures(
        name="gutter falls to the stack",
        done_wrong="The sole was laid falling toward the stack, where water stands against the upstand.",
        found="sometimes",
        look="Lay a level across the gutter's flat, and look for a tide mark of dirt along the upstand"
        " behind the stack.",
        bad="{} degrees more fall to the stack",
        unit="degrees",
        usual=3,
        least=0.5,
        most=12,
        lacks=_no_sole,
        change=lambda detail, places, amount: _with_sole(
            detail, sole=detail.gutter.sole, fall=detail.gutter.sole_fall + amount
        ),
    ),
    OnMeasures(
        name="back corner not soldered",
        done_wrong="The upstand behind the stack ends flush with its sides: nothing goes round the corner.",
        found="often",
        look="See at the back corners whether the upstand goes round them unbroken, or ends in a slit that"
        " a knife goes into.",
        bad="its return round the corner missing",
        lacks=lambda detail, place: (
            _no_back(detail, place)
            or ("" if detail.gutter.upstand_return > 0 else "has no return behind it already")
        ),
        change=_gutter(lambda detail, _: replace(detail.gutter, upstand_return=0.0)),
    ),
    OnMeasures(
        name="leaves in the gutter",
        done_wrong="Nobody cleared the gutter: a heap of leaves blocks its end.",
        found="often",
        look="Look behind the stack for leaves and moss heaped at the gutter's end on that side.",
        bad="a heap {} mm high",
        places=SIDES,
        unit="mm",
        usual=60,
        least=10,
        most=300,
        lacks=_only_square("a heap of leaves"),
        change=_leaves,
    ),
    OnMeasures(
        name="snow in the gutter",
        done_wrong="Nothing keeps snow from filling the gutter behind the stack.",
        found="sometimes",
        look="Look in frost for snow banked up behind the stack, and after it for a tide mark high on the"
        " stack's back.",
        bad="{} mm of snow",
        unit="mm",
        usual=200,
        least=20,
        most=2000,
        lacks=_only_square("snow"),
        change=lambda detail, _, a: replace(detail, debris=replace(detail.debris, snow=a)),
    ),
    OnMeasures(
        name="saddle left out",
        done_wrong="A level gutter was put behind a stack wide enough to need a saddle.",
        found="often",
        look="See what lies behind the stack: one level gutter across its whole width, with no ridge to"
        " part the water.",
        bad="saddle missing",
        lacks=_no_saddle,
        change=_gutter(lambda detail, _: replace(detail.gutter, behind="gutter")),
    ),
    OnMeasures(
        name="saddle too low",
        done_wrong="The saddle was built lower than the stack's width asks for.",
        found="seldom",
        look="Lay a level on the saddle's slopes behind the stack: they should fall to the sides as"
        " steeply as the roof does.",
        bad="{} mm short of its height",
        unit="mm",
        usual=200,
        least=20,
        most=1000,
        lacks=_no_saddle,
        change=_gutter(
            lambda detail, a: replace(
                detail.gutter, behind="saddle", saddle_height=saddle_of(detail) - a
            )
        ),
    ),
    OnMeasures(
        name="wrong lap for a low pitch",
        done_wrong="The laps were made as on a steep roof: 150 mm up under the covering, 100 mm of"
        " underlay over that.",
        found="sometimes",
        look="Measure the roof's pitch and the lap under the first course behind the stack: 150 mm is for"
        " steep roofs alone.",
        bad="laps of 150 mm where a rise of 75 mm asks for more",
        lacks=_steep,
        change=_wrong_laps,
    ),
    OnMeasures(
        name="underlay lap too short",
        done_wrong="The underlay was cut short where it laps down over the gutter's top edge.",
        found="often",
        look="Lift the first course behind the stack and measure how far the underlay laps down over the"
        " sheet: 100 mm is the least.",
        bad="lap {} mm short",
        unit="mm",
        usual=60,
        least=10,
        most=200,
        lacks=_no_back,
        change=_roof(
            lambda detail, a: replace(detail.roof, underlay_lap=underlay_lap_of(detail) - a)
        ),
    ),
    OnMeasures(
        name="covering cut too far off",
        done_wrong="The tiles round the stack were cut too far from it.",
        found="often",
        look="Press on the sheets close to the stack: they give where no tile carries them, as far out as"
        " the tiles were cut.",
        bad="{} mm too far",
        unit="mm",
        usual=40,
        least=5,
        most=80,
        change=_roof(lambda detail, a: replace(detail.roof, clearance=detail.roof.clearance + a)),
    ),
    OnMeasures(
        name="covering starts too high",
        done_wrong="The first course behind the stack was laid too high up over the gutter.",
        found="seldom",
        look="Measure the bare sheet behind the stack from the gutter's flat up the slope to the first"
        " course.",
        bad="{} mm too far up, with the gutter as it was",
        unit="mm",
        usual=150,
        least=10,
        most=400,
        lacks=_no_back,
        change=lambda detail, places, amount: replace(
            detail,
            roof=replace(detail.roof, gutter_open=detail.roof.gutter_open + amount),
            gutter=replace(detail.gutter, leg=leg_of(detail) - amount),
        ),
    ),
)
"""What is wrong behind the stack and with the covering round it."""
