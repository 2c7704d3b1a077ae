"""Faults of dressing order and of the way that corners are folded."""

from __future__ import annotations

from dataclasses import replace

from meshes.spec import Detail, Dressed
from scenes.faults.fault import SIDES, Fault, Lacks, OnMeasures


def moved_before(detail: Detail, piece: Dressed, other: Dressed) -> Detail:
    """The detail with one piece dressed just before another, so that the other lies over it."""
    order = [name for name in detail.order if name != piece]
    order.insert(order.index(other), piece)
    return replace(detail, order=tuple(order))


def _under(upper: Dressed) -> Lacks:
    """Why a piece beside the stack isn't dressed over another so far."""

    def lacks(detail: Detail, place: str) -> str:
        order: tuple[str, ...] = detail.order
        if order.index(place) < order.index(upper):
            return f"has its {place} side dressed before the {upper} already"
        return ""

    return lacks


def _joint(*joints: str) -> Lacks:
    def lacks(detail: Detail, place: str) -> str:
        if detail.joint not in joints:
            return f'has corners of the kind "{detail.joint}", not "{joints[0]}"'
        return _under("apron")(detail, place)

    return lacks


def _sides_under_apron(detail: Detail, places: tuple[str, ...], amount: float) -> Detail:
    for place in places:
        detail = moved_before(detail, "left" if place == "left" else "right", "apron")
    return detail


def _sides_over_gutter(detail: Detail, places: tuple[str, ...], amount: float) -> Detail:
    for place in places:
        side: Dressed = "left" if place == "left" else "right"
        order = [name for name in detail.order if name != side]
        order.insert(order.index("gutter") + 1, side)
        detail = replace(detail, order=tuple(order))
    return detail


def _already_over_gutter(detail: Detail, place: str) -> str:
    if detail.roof.ridge is not None:
        return "stands through a ridge and has no back gutter"
    order: tuple[str, ...] = detail.order
    if order.index(place) > order.index("gutter"):
        return f"has its {place} side dressed after the gutter already"
    return ""


def _underlay_under(detail: Detail, place: str) -> str:
    if detail.roof.ridge is not None:
        return "stands through a ridge and has no gutter's top edge"
    order = detail.order
    if order.index("underlay") < order.index("gutter"):
        return "has its underlay under the gutter's top edge already"
    return ""


def _faces_down(joint: str) -> Lacks:
    def lacks(detail: Detail, place: str) -> str:
        if detail.joint != joint:
            return f'has corners of the kind "{detail.joint}", not "{joint}"'
        if detail.sides.way != "cover":
            return f"has {detail.sides.way} at its sides, whose corners can't be folded so"
        return (
            "has its corners turned up the slope already" if detail.facing != "down-slope" else ""
        )

    return lacks


def _turned_up(detail: Detail, places: tuple[str, ...], amount: float) -> Detail:
    return replace(detail, facing="up-slope")


ORDER: tuple[Fault, ...] = (
    OnMeasures(
        name="return tucked under",
        done_wrong="The apron was dressed after the side flashing, whose return and cover lie under it.",
        found="sometimes",
        look="See whether the apron's end lies over the side flashing's return at the front corner on that"
        " side, or under it.",
        bad="turned round: the apron over the side flashing",
        places=SIDES,
        lacks=_joint("return"),
        change=_sides_under_apron,
    ),
    OnMeasures(
        name="fin folded the wrong way",
        done_wrong="The apron's standing edge was folded over the side flashing's: a fold that catches"
        " water from up the slope.",
        found="seldom",
        look="See which edge is folded over along the fin on that side: the side flashing's should go over"
        " the apron's.",
        bad="turned round: the apron's edge over the side flashing's",
        places=SIDES,
        lacks=_joint("fin"),
        change=_sides_under_apron,
    ),
    OnMeasures(
        name="apron over the side",
        done_wrong="The apron was dressed after the side flashing, at a corner without a fold.",
        found="sometimes",
        look="See at the front corner on that side whether the apron lies on top: the side flashing should"
        " lie over it.",
        bad="turned round: the apron over the side flashing",
        places=SIDES,
        lacks=_joint("slit and patch", "bossed"),
        change=_sides_under_apron,
    ),
    OnMeasures(
        name="side over the gutter",
        done_wrong="The side flashing was dressed over the end of what is behind the stack, not under it.",
        found="sometimes",
        look="See at the back corner on that side which sheet lies on top: the one from behind the stack"
        " should.",
        bad="turned round: the side flashing over the gutter's end",
        places=SIDES,
        lacks=_already_over_gutter,
        change=_sides_over_gutter,
    ),
    OnMeasures(
        name="underlay under the gutter",
        done_wrong="The underlay was laid before the gutter and runs under its top edge.",
        found="sometimes",
        look="Lift the first course behind the stack: the underlay should come down over the sheet's top"
        " edge, not run in under it.",
        bad="turned round: the gutter's top edge over the underlay",
        lacks=_underlay_under,
        change=lambda detail, places, amount: moved_before(detail, "underlay", "gutter"),
    ),
    OnMeasures(
        name="corner fold up-slope",
        done_wrong="The apron's upstand was folded round over the side flashing's: the fold faces up the"
        " slope and scoops water.",
        found="seldom",
        look="See at the front corners whether the apron is folded round over the side flashings, its raw"
        " edge open up the slope.",
        bad="turned round: its mouth up the slope",
        lacks=_faces_down("return"),
        change=_turned_up,
    ),
    OnMeasures(
        name="ear mouth up-slope",
        done_wrong="The ear at the corner was laid the wrong way: its mouth takes what runs down.",
        found="seldom",
        look="Feel the pleated ears at the front corners: their open mouths should point down the slope,"
        " not up it.",
        bad="turned round: its mouth up the slope",
        lacks=_faces_down("fin"),
        change=_turned_up,
    ),
)
"""Dressing orders and folds turned round."""
