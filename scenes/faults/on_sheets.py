"""Faults of apron and side flashings: turn-ins, upstands, covers, corners; soakers and steps too."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from meshes.plan import Kind
from meshes.spec import Apron, BackGutter, Detail, Sides, SideWay
from scenes.faults.fault import ALL_ROUND, SIDES, Fault, Lacks, OnMeasures
from scenes.faults.usual import has_back, with_back_as_it_is

FRONT_AND_SIDES = ("front", *SIDES)
APRON_TOO = ("front apron",)
"""The apron's return is cut to the side's upstand, and goes with it."""

Measures = Apron | Sides | BackGutter
Changed = Callable[[float], float]


def lacks_piece(detail: Detail, place: str) -> str:
    """Why there is no sheet on a side of the stack, "" if there is one."""
    if place == "back":
        return "" if has_back(detail) else "stands through a ridge and has nothing behind it"
    kinds = {edge.kind for edge in detail.stack.outline().edges}
    if Kind(place) not in kinds:
        return f"has no {'front apron' if place == 'front' else f'{place} side flashing'}"
    return ""


def _called(place: str) -> str:
    return {"front": "apron", "back": "gutter"}.get(place, "sides")


def _shorter(key: str) -> Callable[[Detail, tuple[str, ...], float], Detail]:
    """Less of one measure, at the places asked for."""
    return lambda detail, places, amount: _measured(detail, places, key, lambda was: was - amount)


def _measured(detail: Detail, places: tuple[str, ...], key: str, becomes: Changed) -> Detail:
    for table in {_called(place): None for place in places}:
        piece: Measures = getattr(detail, table)
        was: float = getattr(piece, key)
        changed = replace(piece, **{key: becomes(was)})  # type: ignore[arg-type]
        detail = replace(detail, **{table: changed})  # type: ignore[arg-type]
    return detail


def _no_turn_in(detail: Detail, place: str) -> str:
    piece: Measures = getattr(detail, _called(place))
    if missing := lacks_piece(detail, place):
        return missing
    return "" if piece.turn_in > 0 else f"has no turn-in at the {place} already"


def _narrower(detail: Detail, places: tuple[str, ...], amount: float) -> Detail:
    # The gutter's width is usually taken from the covers': it was cut before, and stays.
    return _shorter("cover")(with_back_as_it_is(detail), places, amount)


def _no_cover(detail: Detail, place: str) -> str:
    if place in SIDES and detail.sides.way == "soakers":
        return "has soakers at its sides, no covers"
    return lacks_piece(detail, place)


def _two_sided(detail: Detail, place: str) -> str:
    if place in SIDES and detail.sides.way == "soakers":
        return "has soakers at its sides, no upstands of their own"
    return lacks_piece(detail, place)


def _no_apron_between(detail: Detail, place: str) -> str:
    if lacks_piece(detail, "front"):
        return f"has sides that meet, their upstands cut to each other: leave @{place} out"
    return ""


def _no_return(detail: Detail, place: str) -> str:
    if missing := lacks_piece(detail, place):
        return missing
    if detail.joint != "return":
        return f'has corners of the kind "{detail.joint}", without a return'
    return "" if detail.sides.corner_return > 0 else "has no return at its corners already"


def _way(way: SideWay, word: str) -> Lacks:
    def lacks(detail: Detail, place: str) -> str:
        return "" if detail.sides.way == way else f"has no {word} at its sides"

    return lacks


def _fin(detail: Detail, place: str) -> str:
    if detail.joint != "fin":
        return f'has corners of the kind "{detail.joint}", not "fin"'
    return ""


def _no_overhang(detail: Detail, place: str) -> str:
    return lacks_piece(detail, "front")


def _two_part(detail: Detail, place: str) -> str:
    table = detail.apron if place == "front" else detail.gutter
    return "" if table.two_part else f"has no separate cover flashing at the {place}"


SHEETS: tuple[Fault, ...] = (
    OnMeasures(
        name="no turn-in",
        done_wrong="The upstand's top edge was left flat against the wall, the chase open.",
        found="sometimes",
        look="See whether the sheet's top edge on that side goes into the wall, or lies flat against it"
        " with the chase empty.",
        bad="turn-in missing, the chase open",
        places=ALL_ROUND,
        lacks=_no_turn_in,
        change=lambda detail, places, _: _measured(detail, places, "turn_in", lambda was: 0.0),
        side_alone=(),
    ),
    OnMeasures(
        name="turn-in too shallow",
        done_wrong="The chase was cut too shallow, and the turn-in cut down to it.",
        found="often",
        look="Rake out a little mortar on that side and measure how deep the sheet goes into the wall: 25"
        " mm is the least.",
        bad="turn-in {} mm short",
        places=ALL_ROUND,
        unit="mm",
        usual=15,
        least=3,
        most=60,
        lacks=_no_turn_in,
        change=_shorter("turn_in"),
        side_alone=(),
    ),
    OnMeasures(
        name="mortar fallen out",
        done_wrong="The chases were pointed with weak mortar, which has fallen out round the turn-ins.",
        found="often",
        look="Push a knife into the chases above the turned-in edges: where the mortar has gone it goes in"
        " to the end.",
        bad="the chases open round the turn-ins",
        lacks=lambda detail, _: "" if detail.stack.pointed else "has chases that stay open already",
        change=lambda detail, places, _: replace(
            detail, stack=replace(detail.stack, pointed=False)
        ),
    ),
    OnMeasures(
        name="upstand too low",
        done_wrong="The chase was cut too low: the upstand ends below the water line.",
        found="sometimes",
        look="Measure up to the chase on that side: 150 mm in front, 65 mm at a side and 120 mm behind is"
        " the least.",
        bad="upstand {} mm short",
        places=ALL_ROUND,
        unit="mm",
        usual=25,
        least=5,
        most=120,
        lacks=_two_sided,
        change=_shorter("upstand"),
        side_alone=APRON_TOO,
        alone_lacks=_no_apron_between,
    ),
    OnMeasures(
        name="cover too narrow",
        done_wrong="The sheet was cut from a strip too narrow for the cover over the tiles.",
        found="often",
        look="Measure from the stack to the sheet's free edge on that side: it should lie 150 mm over the"
        " tiles.",
        bad="cover {} mm short",
        places=FRONT_AND_SIDES,
        unit="mm",
        usual=60,
        least=10,
        most=130,
        lacks=_no_cover,
        change=_narrower,
        side_alone=(),
    ),
    OnMeasures(
        name="apron too narrow",
        done_wrong="The apron was cut hardly wider than the stack.",
        found="seldom",
        look="Measure how far the apron runs past the stack at each end: 50 mm is the least.",
        bad="{} mm short past the stack, at each end",
        unit="mm",
        usual=30,
        least=5,
        most=150,
        lacks=_no_overhang,
        change=lambda detail, _, amount: replace(
            detail, apron=replace(detail.apron, overhang=detail.apron.overhang - amount)
        ),
    ),
    OnMeasures(
        name="return missing",
        done_wrong="The side flashing's upstand was cut off at its corners, with nothing turned round them.",
        found="sometimes",
        look="See whether the side flashing turns round the stack's corners on that side, or is cut off"
        " flush with them.",
        bad="return missing",
        places=SIDES,
        lacks=_no_return,
        change=lambda detail, places, _: replace(
            detail, sides=replace(detail.sides, corner_return=0.0)
        ),
        side_alone=(),
        side_by_side=True,
    ),
    OnMeasures(
        name="return too short",
        done_wrong="Too little of the side flashing was left at its corners to turn round them.",
        found="sometimes",
        look="Measure how far the side flashing turns round the stack's corners on that side: 25 mm is the"
        " least.",
        bad="return {} mm short",
        places=SIDES,
        unit="mm",
        usual=20,
        least=5,
        most=80,
        lacks=_no_return,
        change=lambda detail, places, amount: replace(
            detail,
            sides=replace(detail.sides, corner_return=detail.sides.corner_return - amount),
        ),
        side_alone=(),
        side_by_side=True,
    ),
    OnMeasures(
        name="fold over too short",
        done_wrong="Too little stood above the fin to be folded over it.",
        found="seldom",
        look="Measure how deep the side flashing's edge is folded down over the fin on that side: 25 mm is"
        " the least.",
        bad="fold {} mm short",
        places=SIDES,
        unit="mm",
        usual=15,
        least=3,
        most=30,
        lacks=_fin,
        change=lambda detail, places, amount: replace(
            detail, sides=replace(detail.sides, fold_over=detail.sides.fold_over - amount)
        ),
        side_alone=(),
    ),
    OnMeasures(
        name="cover not dressed down",
        done_wrong="The covers were left lying on the courses' noses.",
        found="often",
        look="Look in under the covers' edges: the sheet spans from one course's nose to the next, with a"
        " hollow behind each nose.",
        bad="open beneath, from nose to nose",
        lacks=lambda detail, _: (
            "has covers that rest on the noses already" if detail.cover_fit == "resting" else ""
        ),
        change=lambda detail, places, _: replace(detail, cover_fit="resting"),
    ),
    OnMeasures(
        name="cover flashing too short",
        done_wrong="The cover flashing was cut from a strip too narrow to lap the upstand.",
        found="seldom",
        look="Measure how far the strip out of the chase on that side hangs down over the upstand: 75 mm"
        " is the least.",
        bad="lap {} mm short",
        places=("front", "back"),
        unit="mm",
        usual=40,
        least=5,
        most=200,
        lacks=_two_part,
        change=_shorter("flashing_lap"),
    ),
    OnMeasures(
        name="soaker too narrow",
        done_wrong="The soakers were cut from a strip too narrow for the leg on the roof.",
        found="seldom",
        look="Lift a tile beside the stack on that side and measure how far the soaker reaches out from"
        " the wall: 100 mm is the least.",
        bad="leg on the roof {} mm short",
        places=SIDES,
        unit="mm",
        usual=40,
        least=5,
        most=200,
        lacks=_way("soakers", "soakers"),
        change=_shorter("soaker_width"),
        side_alone=(),
        side_by_side=True,
        own="soaker",
    ),
    OnMeasures(
        name="soaker upturn too low",
        done_wrong="The soakers' upturn was made too low to stand behind the steps.",
        found="seldom",
        look="Bend up a step on that side and measure how high the soaker stands behind it: 75 mm is the"
        " least.",
        bad="upturn {} mm short",
        places=SIDES,
        unit="mm",
        usual=30,
        least=5,
        most=120,
        lacks=_way("soakers", "soakers"),
        change=_shorter("soaker_upturn"),
        side_alone=(),
        side_by_side=True,
        own="soaker",
    ),
    OnMeasures(
        name="step lap too short",
        done_wrong="The steps were cut too short to lap each other.",
        found="seldom",
        look="Measure how far each step on that side laps over the next one down: 50 mm is the least.",
        bad="lap {} mm short",
        places=SIDES,
        unit="mm",
        usual=25,
        least=5,
        most=100,
        lacks=_way("soakers", "steps over soakers"),
        change=_shorter("step_lap"),
        side_alone=(),
        side_by_side=True,
        own="step",
    ),
)
"""What is wrong with aprons, side flashings, soakers and steps."""
