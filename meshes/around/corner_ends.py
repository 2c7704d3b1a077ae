"""How turn-ins and upstands end where two runs meet at a corner of the stack."""

from __future__ import annotations

from collections.abc import Sequence
from math import tan

from meshes.around.corners import End, Run, folded_up
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.around.slit_corners import Meeting, edge_of_higher
from meshes.around.turn_ins import NO_STOP, Ending, Stop
from meshes.around.upstand import SAME_HEIGHT, Narrow, shoulder
from meshes.piece import Named
from meshes.plan import Corner
from meshes.turn_in import FALL

UNDER_PLANE = 0.0002  # [m] a turned-up end stops so far under the turn-in over it
LEAST_STOP, MOST_STOP = 0.0003, 0.006  # [m] how high turn-ins' ends are turned up
NEAR = 0.020  # [m] turn-ins that meet at a corner this near in height would touch


def ending(sheet: Sheet, corner: Corner, beside: Sheet | None, *, over: bool) -> Ending:
    """How a turn-in ends at a corner, by the height of the sheet beside it; over: whether it is
    turned round the corner over that one."""
    if beside is None:
        return Ending.MITRE
    at = sheet.rim.at(corner)
    higher = sheet.top(*at) - beside.top(*at)
    if over:
        return Ending.NOSE if higher < 0 else Ending.SQUARE
    if abs(higher) < SAME_HEIGHT:
        return Ending.MITRE
    return Ending.SQUARE if abs(higher) < NEAR else Ending.PAST


def endings(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> tuple[Ending, Ending]:
    """How a run's turn-in ends; beside: the sheets that it meets at its two ends."""
    first, last = (
        Ending.SQUARE
        if _only_meet(scheme, end)
        else ending(sheet, end.corner, other, over=end.over)
        for end, other in zip(run.ends, beside, strict=True)
    )
    return first, last


def stops(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> tuple[Stop, Stop]:
    """How a run's square turn-ins are turned up at their ends: where a piece is carried round the
    corner over them, towards its turn-in, tight where that is near; where two only meet, both."""
    ends = endings(scheme, sheet, run, beside)
    first, last = (
        _stop(scheme, sheet, end, other, ending_)
        for end, other, ending_ in zip(run.ends, beside, ends, strict=True)
    )
    return first, last


def _stop(scheme: Scheme, sheet: Sheet, end: End, beside: Sheet | None, ending_: Ending) -> Stop:
    if beside is None or end.last or ending_ is not Ending.SQUARE:
        return NO_STOP
    at = sheet.rim.at(end.corner)
    if _only_meet(scheme, end):
        at_corner = end.corner in scheme.plan.corners
        return Stop(MOST_STOP, not at_corner or abs(sheet.top(*at) - beside.top(*at)) < NEAR)
    if end.over:
        return NO_STOP
    own, theirs = (one.rim.square(end.corner, at_end=end.on) for one in (sheet, beside))
    apart = beside.top(*theirs) - sheet.top(*own) - UNDER_PLANE
    apart += (beside.rim.distance - sheet.rim.distance) * tan(FALL)
    high = min(apart, MOST_STOP) if apart > 0 else MOST_STOP
    return Stop(high, True) if high > LEAST_STOP else NO_STOP


def _only_meet(scheme: Scheme, end: End) -> bool:
    """Whether two pieces' turn-ins only meet at an end: none is turned round over the other's."""
    return end.beside is not None and not end.last and scheme.detail.joint != "return"


def meetings(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> tuple[Meeting | None, Meeting | None]:
    """Where a run's upstand meets at its ends, at a slit corner, a lower one outside it, or is the lower
    one; beside: as above."""
    first, last = (
        meeting(scheme, sheet, other, end.corner, first_ends=end.on)
        if other is not None and _only_meet(scheme, end)
        else None
        for end, other in zip(run.ends, beside, strict=True)
    )
    return first, last


def meeting(
    scheme: Scheme, sheet: Sheet, other: Sheet, corner: Corner, *, first_ends: bool
) -> Meeting | None:
    """Where of two upstands the higher one meets the lower one outside it at a slit corner; None where
    they are about as high, or the higher one is outside. first_ends: whether the first one's run ends
    there, going anticlockwise."""
    if corner not in scheme.plan.corners or scheme.detail.joint != "slit and patch":
        return None
    inside = sheet.rim.distance < other.rim.distance
    higher, lower = (sheet, other) if inside else (other, sheet)
    at = higher.rim.at(corner)
    if higher.top(*at) - lower.top(*at) < NEAR:
        return None
    return Meeting(higher, lower, MOST_STOP, corner, first_ends is inside)


def shoulders(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> tuple[float | None, float | None]:
    """Where a run's upstand makes room at its ends for lower sheets over it; beside: as above."""
    found = []
    slit = meetings(scheme, sheet, run, beside)
    for end, other, meets in zip(run.ends, beside, slit, strict=True):
        goes_on = not end.last and (scheme.detail.joint == "bossed" or folded_up(scheme))
        free = end.over or goes_on or meets is not None
        found.append(None if free or other is None else shoulder(sheet, other, end.corner))
    return found[0], found[1]


def narrowed(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> tuple[Narrow | None, Narrow | None]:
    """How a run's upstand stops at its ends before the turn-ins of lower ones at slit corners."""
    first, last = (
        None if meets is None or end.over else Narrow(meets.end(), meets.over_stop(meets.end()))
        for end, meets in zip(run.ends, meetings(scheme, sheet, run, beside), strict=True)
    )
    return first, last


def slit_edges(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> list[Named]:
    """The edges of a run's upstand where it only meets another at a slit corner; beside: as above."""
    found: list[Named] = []
    for end, meets in zip(run.ends, meetings(scheme, sheet, run, beside), strict=True):
        if meets is not None and not end.over:
            found += edge_of_higher(meets)
    return found
