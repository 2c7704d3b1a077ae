"""A scene file's keys and their words as a report says them, to somebody who never sees the file."""

from __future__ import annotations

from typing import Final

from meshes.spec import Detail
from scenes.units_keys import bare_key, value_words

Name = tuple[str, str]
"""A table of the scene file, "" for none, and a key in it."""

PLAIN: Final[dict[Name, str]] = {
    ("", "joint"): "front corners", ("", "facing"): "folds at the corners face",
    ("", "cover_fit"): "covers", ("", "order"): "order of dressing",
    ("", "bedding_gap_mm"): "gap between sheets that lap",
    ("roof", "double_lap"): "double-lapped", ("roof", "wave_depth_mm"): "waves, trough to crest",
    ("roof", "wave_pitch_mm"): "waves, crest to crest", ("roof", "batten_mm"): "underlay to covering",
    ("roof", "clearance_mm"): "stack to cut covering",
    ("roof", "gutter_open_mm"): "back gutter left open",
    ("roof", "below_mm"): "roof below the stack", ("roof", "above_mm"): "roof above the stack",
    ("roof", "beside_mm"): "roof beside the stack, each side", ("roof", "left_mm"): "roof to the left",
    ("roof", "right_mm"): "roof to the right", ("roof", "ridge_mm"): "ridge",
    ("stack", "turn_deg"): "turned by", ("stack", "facets"): "flat faces",
    ("stack", "points_mm"): "corners", ("stack", "pointed"): "chases pointed",
    ("apron", "turn_in_mm"): "turn-in", ("apron", "overhang_mm"): "past the stack, each end",
    ("apron", "two_part"): "separate cover flashing",
    ("apron", "flashing_lap_mm"): "lap of the cover flashing",
    ("sides", "way"): "made as", ("sides", "turn_in_mm"): "turn-in",
    ("sides", "corner_return_mm"): "return round the corners",
    ("sides", "fold_over_mm"): "fold over the fin", ("sides", "step_lap_mm"): "lap of the steps",
    ("gutter", "behind"): "what is there", ("gutter", "turn_in_mm"): "turn-in",
    ("gutter", "upstand_return_mm"): "return round the corners",
    ("gutter", "sole_fall_deg"): "fall to the stack",
    ("gutter", "leg_mm"): "leg up the slope", ("gutter", "lap_mm"): "ends down over the sides",
    ("gutter", "beyond_stack_mm"): "past the stack, each end",
    ("gutter", "saddle_height_mm"): "height of the saddle", ("gutter", "open_mm"): "valleys left open",
    ("gutter", "two_part"): "separate cover flashing",
    ("gutter", "flashing_lap_mm"): "lap of the cover flashing",
    ("debris", "leaves_high_mm"): "height of the leaves",
    ("debris", "leaves_long_mm"): "length of the leaves",
    ("underlay", "front_mm"): "turned up at the front",
    ("underlay", "sides_mm"): "turned up at the sides",
    ("underlay", "lap_mm"): "lap over the back gutter",
}  # fmt: skip
"""What keys are called that don't say it themselves."""

VALUES: Final[dict[tuple[str, str, str], str]] = {
    ("", "joint", "return"): "the side flashings turned round them",
    ("", "joint", "fin"): "a standing fin down the slope",
    ("", "facing", "down-slope"): "down the slope", ("", "facing", "up-slope"): "up the slope",
    ("", "order", "apron"): "front apron", ("", "order", "left"): "left side",
    ("", "order", "right"): "right side", ("", "order", "gutter"): "what is behind the stack",
    ("", "cover_fit", "dressed"): "dressed down over the courses",
    ("", "cover_fit", "resting"): "resting on the courses' noses",
    ("roof", "covering", "coursed"): "in courses", ("roof", "covering", "plain"): "no courses",
    ("roof", "covering", "one plane"): "no courses",
    ("roof", "left_mm", "auto"): "as beside the stack", ("roof", "right_mm", "auto"): "as beside the stack",
    ("roof", "ridge_mm", "none"): "above the stack, which stands on one slope",
    ("sides", "way", "cover"): "one piece with its cover",
    ("sides", "way", "soakers"): "soakers, with step flashing over them",
    ("sides", "way", "stepped cover"): "steps and cover in one piece",
    ("gutter", "behind", "gutter"): "a level gutter", ("gutter", "behind", "saddle"): "a saddle",
    ("gutter", "behind", "by rule"): "a gutter or a saddle, by the stack's width",
    ("gutter", "leg_mm", "auto"): "so long that it rises 75 mm",
    ("gutter", "lap_mm", "auto"): "so long that they rise 75 mm",
    ("gutter", "beyond_stack_mm", "auto"): "over the sides' outer edges",
    ("gutter", "saddle_height_mm", "auto"): "by the roof's pitch",
    ("debris", "leaves", "left"): "in the left end", ("debris", "leaves", "right"): "in the right end",
    ("debris", "leaves", "both"): "in both ends",
    ("underlay", "lap_mm", "auto"): "by the pitch",
}  # fmt: skip
"""Words of a scene's file that mean more than they say, by table and key."""


def plain_name(table: str, key: str) -> str:
    """What a key is called: `turn-in`, `cover`."""
    return PLAIN.get((table, key), bare_key(key).replace("_", " "))


def plain_value(table: str, key: str, value: object) -> str:
    """A value with its unit, in the units that are spoken."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(plain_value(table, key, one) for one in value)
    return VALUES.get((table, key, str(value)), value_words(key, value))


def is_of_use(detail: Detail, table: str, key: str) -> bool:
    """Whether a key does anything in this detail: no lap of soakers where there are none."""
    sides, gutter = detail.sides.way, detail.gutter
    profiled = detail.roof.covering == "profiled"
    square = detail.stack.plan == "rectangle" and detail.stack.turn == 0
    needs = {
        ("roof", "wave_depth_mm"): profiled, ("roof", "wave_pitch_mm"): profiled,
        ("roof", "left_mm"): detail.roof.left is not None,
        ("roof", "right_mm"): detail.roof.right is not None,
        ("roof", "above_mm"): detail.roof.ridge is None,
        ("stack", "brick_gauge_mm"): sides != "cover",
        ("apron", "flashing_lap_mm"): detail.apron.two_part,
        ("sides", "fold_over_mm"): detail.joint == "fin",
        ("sides", "soaker_width_mm"): sides == "soakers",
        ("sides", "soaker_upturn_mm"): sides == "soakers",
        ("sides", "step_lap_mm"): sides == "soakers",
        ("gutter", "saddle_height_mm"): gutter.behind != "gutter",
        ("gutter", "open_mm"): gutter.behind != "gutter" or not square,
        ("gutter", "flashing_lap_mm"): gutter.two_part,
        ("debris", "leaves_high_mm"): detail.debris.leaves != "none",
        ("debris", "leaves_long_mm"): detail.debris.leaves != "none",
    }  # fmt: skip
    return needs.get((table, key), True)
