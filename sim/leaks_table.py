"""Every distance and angle that finding leaks goes by beside those of laps, each with its reason."""

from __future__ import annotations

from typing import Final

from sim.laps_table import Choice

FACING: Final = 0.7
UPRIGHT: Final = 0.5
TOP_EDGE: Final = 0.5
ONE_LEAK: Final = 0.030
STRAY: Final = 0.100
FEW: Final = 0.1
CELL: Final = 0.010
AT_A_CORNER: Final = 0.012
HALVINGS: Final = 10
FALL_STEP: Final = 0.010
LONGEST_LOOK: Final = 1.500
OFF_AN_EDGE: Final = 0.001
SHARE_OFF_AN_EDGE: Final = 0.9
LOOK_STEP: Final = 0.050
ON_A_RIM: Final = 1e-5
LEAST_BEHIND: Final = 0.005
BARE_BESIDE: Final = 0.050
CHUNK: Final = 5000
LONG_FALL: Final = 0.030
BENEATH_STEP: Final = 0.001
WIDEST_GAP: Final = 0.025

TABLE: Final[dict[str, Choice]] = {
    "FACING": Choice(
        FACING, "cosine", "a sheet is over water only if it lies within 45 degrees of parallel: the "
        "other leg of a sharp crease is not",
    ),
    "UPRIGHT": Choice(
        UPRIGHT, "cosine", "a sheet within 30 degrees of upright has a top edge; a flatter one is run "
        "under",
    ),
    "TOP_EDGE": Choice(
        TOP_EDGE, "cosine", "an edge from which its sheet hangs within 60 degrees of straight down is "
        "a top edge; another edge is an end",
    ),
    "ONE_LEAK": Choice(
        ONE_LEAK, "m", "ways in this near to each other are one leak: a thumb's width",
    ),
    "STRAY": Choice(
        STRAY, "m", "places this near to each other with a part in common are one to the eye: a hand's "
        "width",
    ),
    "FEW": Choice(
        FEW, "share", "of a leak's drops: a place with fewer, a hand's width from it, is where some drops of "
        "the same water take another turn",
    ),
    "CELL": Choice(CELL, "m", "ways in are gathered in cells of this size before they are joined up"),
    "AT_A_CORNER": Choice(
        AT_A_CORNER, "m", "a way in this near to the borders of two flashings, and to a corner of the "
        "stack, goes through the slit between them",
    ),
    "HALVINGS": Choice(
        HALVINGS, "1", "halvings of a run that place a way in: a metre to a millimetre",
    ),
    "FALL_STEP": Choice(
        FALL_STEP, "m", "a fall is looked round in steps of this; no upstand is lower than 30 mm",
    ),
    "LONGEST_LOOK": Choice(
        LONGEST_LOOK, "m", "how far up from its landing a fall is looked round: from the chase over the back "
        "gutter, past its upstand and the courses, to the loft",
    ),
    "OFF_AN_EDGE": Choice(
        OFF_AN_EDGE, "m", "how far into its face a point is moved before it looks for the sky: a path's "
        "points lie on edges, in the plane of the next face",
    ),
    "SHARE_OFF_AN_EDGE": Choice(
        SHARE_OFF_AN_EDGE, "share", "where the end of a piece of path is looked at, when it is too short "
        "to be looked at `OFF_AN_EDGE` before its end",
    ),
    "LOOK_STEP": Choice(
        LOOK_STEP, "m", "water is asked at least this often whether a flashing lies over it; laps and "
        "covers are longer",
    ),
    "ON_A_RIM": Choice(
        ON_A_RIM, "m", "water this near to a rim runs down the edge itself, not down the sheet's back",
    ),
    "LEAST_BEHIND": Choice(
        LEAST_BEHIND, "m", "a drop that is behind flashings for less than this in all only passes the "
        "corner of one",
    ),
    "BARE_BESIDE": Choice(
        BARE_BESIDE, "m", "an underlay that sees the sky straight up, with nothing this near on any side "
        "at 45 degrees, lies bare; one that is only seen through a slit does not",
    ),
    "LONG_FALL": Choice(
        LONG_FALL, "m", "a fall worth telling: a drop off a course's nose is none",
    ),
    "BENEATH_STEP": Choice(
        BENEATH_STEP, "m", "water beneath a sheet is asked this often whether one still lies over it: the "
        "figures are told to the millimetre at best",
    ),
    "WIDEST_GAP": Choice(
        WIDEST_GAP, "m", "edges of one sheet that face each other nearer than this are the two sides of a "
        "split, a tear or a hole: no opening in a sheet that is meant to be there is so narrow",
    ),
    "CHUNK": Choice(CHUNK, "drops", "paths that are held in memory at a time"),
}  # fmt: skip
