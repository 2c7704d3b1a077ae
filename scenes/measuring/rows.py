"""What is measured on the roof, in the order in which it is taken: stack, covering, roof round it.

How things are measured is common practice, no source.
"""

from __future__ import annotations

from math import cos, radians
from typing import Final

from scenes.measuring import checks
from scenes.measuring.question import Known, Question, Value

YES_NO: Final = {"no": None, "yes": None}
STACK, COVERING, ROUND_IT = "Roof and stack", "Covering", "Roof round it"
COVERINGS: Final = ("plain tiles", "interlocking", "slates", "profiled", "one plane")


def _is_coursed(known: Known) -> bool:
    return known.get("covering") != "one plane"


def _head_lap(value: Value, known: Known) -> float:
    return round(checks.head_lap(float(value), known), 9)


def _tile(lap: float, known: Known) -> float:
    """Length of a tile [mm] with that head lap."""
    return lap - checks.head_lap(0.0, known)


def _on_slope(level: float, known: Known) -> float:
    """What is so long in plan, along the slope [mm]."""
    return level / cos(radians(float(known["pitch"])))


def _in_plan(value: Value, known: Known) -> float:
    """What was taken along the slope, held level [mm]."""
    return float(value) * cos(radians(float(known["pitch"])))


ROWS: Final[tuple[Question, ...]] = (
    Question(
        group=STACK,
        key="pitch",
        words="Pitch of the rafters",
        how="From the loft, along a rafter: degrees off a level, or rise and run: hold a level out flat, "
        "12 along it, and measure down. Tiles lie flatter than rafters.",
        kind="pitch",
        places=(("roof", "pitch_deg"),),
        needed=True,
    ),
    Question(
        group=STACK,
        key="width",
        words="Stack's width, across the slope",
        how="Across the front face, brick to brick, just above the flashing.",
        places=(("stack", "width_mm"),),
        needed=True,
    ),
    Question(
        group=STACK,
        key="depth",
        words="Stack's depth, level",
        how="Along a side face, brick to brick, with the tape held level: not along the slope.",
        places=(("stack", "depth_mm"),),
        needed=True,
        check=checks.depth,
    ),
    Question(
        group=STACK,
        key="height",
        words="Front face, covering to top",
        how="Up the middle of the front face, from the top of the covering to the top of the stack, "
        "its capping included, no pot.",
        places=(("stack", "height_mm"),),
        check=checks.front_height,
    ),
    Question(
        group=STACK,
        key="back_height",
        words="Back face, covering to top",
        how="The same up the back face, from the line that the covering would meet it at. It proves pitch "
        "and depth: front less back is what the roof rises in between.",
        asked=lambda known: "height" in known,
        check=checks.back_height,
    ),
    Question(
        group=STACK,
        key="brick_gauge",
        words="Brick course with its joint",
        how="Over four courses, from the top of one joint to the top of the fourth above: write it as "
        "300 mm for 4.",
        places=(("stack", "brick_gauge_mm"),),
    ),
    Question(
        group=COVERING,
        key="covering",
        words="Covering",
        how="What lies round the stack. Profiled: tiles or sheets with a wave across the slope. One plane: "
        "no courses, such as a standing-seam sheet.",
        kind="choice",
        places=(("roof", "covering"),),
        choices={name: name for name in COVERINGS},
        needed=True,
    ),
    Question(
        group=COVERING,
        key="gauge",
        words="Gauge, course to course",
        how="Along the slope, from the lower edge of one course to that of the next: over four courses, "
        "as 400 mm for 4.",
        places=(("roof", "gauge_mm"),),
        asked=_is_coursed,
        check=checks.gauge,
    ),
    Question(
        group=COVERING,
        key="tile_length",
        words="Length of one tile or slate",
        how="Push one up, or measure a spare one: from its lower edge to its head. It proves the gauge and "
        "gives the head lap.",
        places=(("roof", "head_lap_mm"),),
        asked=lambda known: "gauge" in known,
        check=checks.tile_length,
        written=_head_lap,
        read_back=_tile,
    ),
    Question(
        group=COVERING,
        key="thickness",
        words="Thickness of a course's lower edge",
        how="Square to the tile, at its lower edge, between two crests where it has a wave.",
        places=(("roof", "thickness_mm"),),
        asked=_is_coursed,
    ),
    Question(
        group=COVERING,
        key="wave_depth",
        words="Profiled: wave, trough to crest",
        how="Lay a straight edge across the crests and measure down into a trough.",
        places=(("roof", "wave_depth_mm"),),
        asked=lambda known: known.get("covering") == "profiled",
    ),
    Question(
        group=COVERING,
        key="wave_pitch",
        words="Profiled: wave, crest to crest",
        how="Across the slope, over four waves: as 600 mm for 4.",
        places=(("roof", "wave_pitch_mm"),),
        asked=lambda known: known.get("covering") == "profiled",
    ),
    Question(
        group=ROUND_IT,
        key="through_ridge",
        words="Stands through the ridge",
        how="Yes where the ridge runs into the stack on both its sides.",
        kind="choice",
        choices=YES_NO,
    ),
    Question(
        group=ROUND_IT,
        key="ridge",
        words="Front face to the ridge, level",
        how="From the stack's front face to the line of the ridge, tape held level.",
        places=(("roof", "ridge_mm"),),
        asked=lambda known: known.get("through_ridge") == "yes",
        needed=True,
        check=checks.ridge,
    ),
    Question(
        group=ROUND_IT,
        key="above",
        words="Back face to the ridge, on the slope",
        how="From the stack's back up to the ridge, tape laid on the slope: all that water comes down to "
        "the stack.",
        places=(("roof", "above_mm"),),
        asked=lambda known: known.get("through_ridge") != "yes",
        written=_in_plan,
        read_back=_on_slope,
    ),
    Question(
        group=ROUND_IT,
        key="left",
        words="Left face to a verge near by",
        how="Seen from below, across the slope; leave it out where the roof goes on.",
        places=(("roof", "left_mm"),),
        auto="none near by",
    ),
    Question(
        group=ROUND_IT,
        key="right",
        words="Right face to a verge near by",
        how="Seen from below, across the slope; leave it out where the roof goes on.",
        places=(("roof", "right_mm"),),
        auto="none near by",
    ),
)
