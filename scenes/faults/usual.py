"""Measures that a detail leaves to the builder, as the builder takes them [m]."""

from __future__ import annotations

from dataclasses import replace

from meshes.around.back import x_span
from meshes.around.back_line import MORE_THAN_RULE
from meshes.around.scheme import scheme_of
from meshes.around.soakers import soakers_to_tuck
from meshes.around.step_flashing import wall_of
from meshes.around.turned_round import steps_to_tuck
from meshes.build import pieces, square_to_slope
from meshes.layout import layout_of
from meshes.plan import Kind
from meshes.rules import lap_for_rise, underlay_lap
from meshes.spec import Detail


def has_back(detail: Detail) -> bool:
    """Whether a sheet lies behind the stack: not where it stands through a ridge."""
    return detail.roof.ridge is None


def saddle_of(detail: Detail) -> float:
    """Height of the saddle [m], 0 where there is none. Raises PieceError."""
    if not has_back(detail) or square_to_slope(detail):
        return 0.0
    back = scheme_of(detail).back
    return 0.0 if back is None else back.saddle


def has_level_sole(detail: Detail) -> bool:
    """Whether the sheet behind the stack is a level gutter with a sole. Raises PieceError."""
    if not has_back(detail):
        return False
    if square_to_slope(detail):
        return True
    back = scheme_of(detail).back
    return back is not None and back.level_face is not None


def beyond_of(detail: Detail) -> float:
    """How far the sheet behind the stack runs past it at each end [m]. Raises PieceError."""
    if detail.gutter.beyond_stack is not None:
        return detail.gutter.beyond_stack
    if square_to_slope(detail):
        layout = layout_of(detail)
        return layout.half_gutter - layout.half_stack
    scheme = scheme_of(detail)
    left, right = x_span(scheme)
    return min(scheme.plan.left - left, right - scheme.plan.right)


def leg_of(detail: Detail) -> float:
    """How far the sheet behind the stack goes up under the covering [m]. Raises PieceError."""
    if square_to_slope(detail):
        return layout_of(detail).gutter_leg
    back = scheme_of(detail).back
    assert back is not None
    return back.leg


def lap_of(detail: Detail) -> float:
    """How far it laps down over the side flashings [m]. Raises PieceError."""
    if detail.gutter.lap is not None:
        return detail.gutter.lap
    if square_to_slope(detail):
        return layout_of(detail).gutter_lap
    return lap_for_rise(detail.roof.pitch) + MORE_THAN_RULE


def underlay_lap_of(detail: Detail) -> float:
    """How far the underlay laps over the top edge of the sheet behind the stack [m]."""
    return detail.roof.underlay_lap or underlay_lap(detail.roof.pitch)


def how_many(detail: Detail, place: str, word: str) -> int:
    """Of how many separate pieces of a kind a side has: its soakers or its steps. Raises PieceError."""
    if detail.sides.way != "soakers":
        return 0
    return sum(name.removeprefix(f"{place} {word} ").isdigit() for name in pieces(detail))


def tuckable(detail: Detail, place: str, word: str) -> int:
    """The soaker or the step of a side, counted from 1, nearest to its middle of those that can lie
    under the one below; 0 where none can. Raises PieceError."""
    scheme = scheme_of(detail)
    chain = next(one for one in scheme.chains.under if one.kind is Kind(place))
    soakers = word == "soaker"
    can = soakers_to_tuck(scheme, wall_of(chain)) if soakers else steps_to_tuck(scheme, chain)
    middle = how_many(detail, place, word) // 2 + 1
    return min(can, key=lambda number: abs(number - middle), default=0)


def with_back_as_it_is(detail: Detail) -> Detail:
    """The detail with the back sheet's width laid down, so that a change beside it leaves it alone."""
    if not has_back(detail):
        return detail
    return replace(detail, gutter=replace(detail.gutter, beyond_stack=beyond_of(detail)))
