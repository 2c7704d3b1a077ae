"""What there is now round the stack: the flashings as they were found, so that they can be rained on.

How things are measured is common practice, no source.
"""

from __future__ import annotations

from typing import Final

from meshes.materials import MATERIALS
from scenes.measuring.question import Known, Question, Value
from scenes.measuring.rows import ROWS, YES_NO

FRONT, AT_SIDES, BEHIND, STATE = (
    "Front apron, as it is", "Sides, as they are", "Behind, as it is", "State",
)  # fmt: skip
TURN_INS: Final = ("apron", "sides", "gutter")
SIDE_ON_TOP, APRON_ON_TOP = "side over apron", "apron over side"
GUTTER_ON_TOP, SIDE_OVER_GUTTER = "gutter over side", "side over gutter"
LEAD: Final = ", ".join(
    f"{name.rpartition(' ')[2]} is {one.thickness * 1000:.2f} mm"
    for name, one in MATERIALS.items()
    if name.startswith("lead code ")
)


def is_there(known: Known) -> bool:
    """Whether there are flashings to measure."""
    return known.get("present") == "yes"


def order(value: Value, known: Known) -> list[str]:
    """The order of dressing that the laps at the front and back corners show."""
    sides = ["left", "right"]
    front = known.get("front_corner") == APRON_ON_TOP
    back = known.get("back_corner") == SIDE_OVER_GUTTER
    first, last = (["gutter"], []) if back else ([], ["gutter"])
    if front:
        return [*first, *sides, "apron", *last, "underlay"]
    return ["apron", *first, *sides, *last, "underlay"]


def _has_gutter(known: Known) -> bool:
    return is_there(known) and known.get("behind") != "saddle"


def _has_cover(known: Known) -> bool:
    return is_there(known) and known.get("sides_way") != "soakers"


NOW: Final[tuple[Question, ...]] = (
    Question(
        group=STATE,
        key="present",
        words="Flashings there now",
        how="No where there are none yet: then the usual ones are taken throughout.",
        kind="choice",
        choices=YES_NO,
        needed=True,
    ),
    Question(
        group=STATE,
        key="material",
        words="Material",
        how=f"Lead bends by hand and marks with a nail; its code is its thickness: {LEAD}.",
        kind="choice",
        places=(("material",),),
        choices={name: name for name in MATERIALS},
        asked=is_there,
    ),
    Question(
        group=STATE,
        key="turn_in",
        words="Turn-in into the wall (0 none)",
        how="Slide a steel rule into the joint above the sheet until it stops at the fold; 0 where the edge "
        "only lies on the brick.",
        places=tuple((piece, "turn_in_mm") for piece in TURN_INS),
        asked=is_there,
    ),
    Question(
        group=STATE,
        key="pointed",
        words="Pointing over the turn-in",
        how="Fallen out where a rule goes in beside the sheet anywhere.",
        kind="choice",
        places=(("stack", "pointed"),),
        choices={"sound": True, "fallen out": False},
        asked=is_there,
    ),
    Question(
        group=STATE,
        key="cover_fit",
        words="Covers lie",
        how="Dressed: down into each course. Resting: on the lower edges, hollow in between.",
        kind="choice",
        places=(("cover_fit",),),
        choices={"dressed": "dressed", "resting": "resting"},
        asked=is_there,
    ),
    Question(
        group=FRONT,
        key="apron_upstand",
        words="Apron's upstand",
        how="Up the front face, from the bend at its foot to the wall joint that it turns into.",
        places=(("apron", "upstand_mm"),),
        asked=is_there,
    ),
    Question(
        group=FRONT,
        key="apron_cover",
        words="Apron's cover, down the slope",
        how="Along the slope, from the bend at the stack's foot to the apron's lower edge.",
        places=(("apron", "cover_mm"),),
        asked=is_there,
    ),
    Question(
        group=FRONT,
        key="apron_overhang",
        words="Apron past the stack, each end",
        how="From the stack's corner across to the apron's end; the shorter of the two.",
        places=(("apron", "overhang_mm"),),
        asked=is_there,
    ),
    Question(
        group=FRONT,
        key="front_corner",
        words="On top at the front corner",
        how="Lift the edges gently: which of the two lies over the other.",
        kind="choice",
        places=(("order",),),
        choices={SIDE_ON_TOP: None, APRON_ON_TOP: None},
        asked=is_there,
        written=order,
    ),
    Question(
        group=AT_SIDES,
        key="sides_way",
        words="Side flashings are",
        how="Cover: one piece up the side. Soakers: hidden between the tiles, steps over them. Stepped "
        "cover: steps and cover in one piece.",
        kind="choice",
        places=(("sides", "way"),),
        choices={name: name for name in ("cover", "soakers", "stepped cover")},
        asked=is_there,
    ),
    Question(
        group=AT_SIDES,
        key="side_upstand",
        words="Side upstand to its water line",
        how="Square to the slope, from the bend at the foot to the lowest point of the top edge.",
        places=(("sides", "upstand_mm"),),
        asked=is_there,
    ),
    Question(
        group=AT_SIDES,
        key="side_cover",
        words="Side cover over the tiles",
        how="Across the slope, from the stack's side to the sheet's outer edge; the least of it.",
        places=(("sides", "cover_mm"),),
        asked=_has_cover,
    ),
    Question(
        group=AT_SIDES,
        key="corner_return",
        words="Side's return round the corner",
        how="On the front face, from the stack's corner to the edge of the return; 0 where nothing goes "
        "round.",
        places=(("sides", "corner_return_mm"),),
        asked=_has_cover,
    ),
    Question(
        group=BEHIND,
        key="behind",
        words="Behind the stack",
        how="A level gutter, or a saddle: two small slopes that throw water to both sides.",
        kind="choice",
        places=(("gutter", "behind"),),
        choices={"gutter": "gutter", "saddle": "saddle"},
        asked=is_there,
    ),
    Question(
        group=BEHIND,
        key="gutter_upstand",
        words="Upstand behind the stack",
        how="Up the back face, from the gutter's or saddle's bottom to the wall joint.",
        places=(("gutter", "upstand_mm"),),
        asked=is_there,
    ),
    Question(
        group=BEHIND,
        key="sole",
        words="Gutter's bottom, up the slope",
        how="From the stack's back face to where the sheet bends up the slope, level.",
        places=(("gutter", "sole_mm"),),
        asked=_has_gutter,
    ),
    Question(
        group=BEHIND,
        key="leg",
        words="Gutter's leg, up under the tiles",
        how="Push up a tile of the lowest course behind: along the slope, from its lower edge to the "
        "sheet's top edge.",
        places=(("gutter", "leg_mm"),),
        auto="so that it rises 75 mm",
        asked=_has_gutter,
    ),
    Question(
        group=BEHIND,
        key="saddle_height",
        words="Saddle's ridge above the roof",
        how="At the stack's back face, upright, from the line of the covering to the saddle's ridge.",
        places=(("gutter", "saddle_height_mm"),),
        auto="so that it has the roof's pitch",
        asked=lambda known: known.get("behind") == "saddle",
    ),
    Question(
        group=BEHIND,
        key="end_lap",
        words="Its ends down over the sides",
        how="Along the slope, how far the gutter's end lies down over the side flashing.",
        places=(("gutter", "lap_mm"),),
        auto="so that it rises 75 mm",
        asked=_has_gutter,
    ),
    Question(
        group=BEHIND,
        key="back_corner",
        words="On top at the back corner",
        how="Which of the two lies over the other where the gutter's end meets the side flashing.",
        kind="choice",
        places=(("order",),),
        choices={GUTTER_ON_TOP: None, SIDE_OVER_GUTTER: None},
        asked=is_there,
        written=order,
    ),
    Question(
        group=BEHIND,
        key="leaves",
        words="Leaves in the gutter's ends",
        how="Seen from below; before you clear it.",
        kind="choice",
        places=(("debris", "leaves"),),
        choices={name: name for name in ("none", "left", "right", "both")},
        asked=_has_gutter,
    ),
)
QUESTIONS: Final = (*ROWS, *NOW)
"""All, in the order in which they are asked."""
