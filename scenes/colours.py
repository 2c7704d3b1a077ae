"""Every colour that a picture of ours uses, in one table.

The strong hues are those of Okabe and Ito's colour-blind-safe set (bluish green, blue, vermilion,
reddish purple, orange, sky blue, yellow; from memory). Sheets take light tints near them, so that
water in dark blue and leaks in vermilion stand out on every sheet. Tints were moved apart until any
two parts of a picture differ by 7 (CIEDE2000) and any two of the strong lines by 15, to full colour
vision and without red, green or blue cones; `tests/scenes/test_colour_blind.py` holds them to it. No
meaning rests on colour alone: pieces carry letters, leaks numbers, hidden water is dashed.
"""

from __future__ import annotations

import re
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.parts import Role

Colour = tuple[int, int, int]

PAPER: Final[Colour] = (255, 255, 255)
SKY: Final[Colour] = (246, 248, 249)
INK: Final[Colour] = (28, 32, 36)
QUIET_INK: Final[Colour] = (88, 94, 100)
RULE_LINE: Final[Colour] = (205, 209, 212)
SHEET_EDGE: Final[Colour] = (38, 42, 48)
COVERING_EDGE: Final[Colour] = (134, 124, 113)
GHOST_EDGE: Final[Colour] = (150, 152, 154)

WATER: Final[Colour] = (0, 96, 170)
FALLING_WATER: Final[Colour] = (86, 160, 210)
BEHIND: Final[Colour] = (213, 62, 0)
GOOD: Final[Colour] = (0, 116, 84)
SHORT_LAP: Final[Colour] = (144, 12, 88)
DECIDING: Final[Colour] = (64, 28, 8)

SHEET_TINTS: Final[tuple[Colour, ...]] = (
    (210, 205, 132),
    (122, 190, 177),
    (169, 179, 211),
    (247, 169, 192),
    (225, 239, 179),
    (166, 187, 250),
    (204, 172, 137),
    (128, 236, 247),
)
"""Tints for flashings; more of them than there are tints share, and keep their own letters."""

KINDS: Final[tuple[tuple[str, tuple[int, ...]], ...]] = (
    ("cover flashing", (6,)),
    ("rear left side", (7,)),
    ("rear right side", (4,)),
    ("rear", (0,)),
    ("gutter", (0,)),
    ("saddle", (0,)),
    ("back", (0,)),
    ("apron", (1,)),
    ("soaker", (4, 7)),
    ("step", (5, 3)),
    ("patch", (4, 7)),
    ("left", (2,)),
    ("right", (3,)),
)
"""Tints by the first of these words in a flashing's name, so that a kind looks alike in every picture;
of numbered ones each looks other than the next."""

ROLE_TINTS: Final[dict[Role, Colour]] = {
    Role.COVERING: (232, 225, 213),
    Role.STACK: (230, 200, 178),
    Role.UNDERLAY: (122, 126, 140),
    Role.INSIDE: (176, 150, 112),
    Role.DEBRIS: (112, 122, 72),
    Role.FLASHING: SHEET_TINTS[0],
}

RAMP: Final[tuple[Colour, ...]] = (
    (0, 34, 78), (0, 46, 108), (30, 58, 111), (53, 69, 108),
    (71, 81, 108), (87, 93, 109), (102, 105, 112), (117, 117, 117),
    (132, 130, 121), (148, 142, 119), (165, 156, 116), (183, 169, 110),
    (200, 184, 102), (219, 199, 90), (238, 214, 73), (254, 232, 56),
)  # fmt: skip
"""Low to high, for amounts on surfaces: even in lightness, alike to colour-blind eyes (cividis, Nunez,
Anderton and Renslow, PLoS ONE 13 (2018) e0199239, 16 stops of the table that matplotlib carries)."""


PLAIN: Final[Colour] = (236, 237, 236)
"""Every piece where amounts are shown on it: it carries none."""
VEILED_EDGE: Final[Colour] = (196, 190, 183)
"""Edges of a covering that is drawn see-through."""


def on_the_ramp(places: ArrayLike) -> NDArray[np.uint8]:
    """Colours (n, 3) of places (n,) on RAMP, 0 (low) to 1 (high), evenly between its stops."""
    along = np.asarray(places, dtype=np.float64) * (len(RAMP) - 1)
    stops = np.array(RAMP, dtype=np.float64)
    mixed = [np.interp(along, np.arange(len(RAMP)), stops[:, k]) for k in range(3)]
    return np.rint(np.stack(mixed, axis=-1)).astype(np.uint8)


def tint_of(role: Role, name: str, rank: int) -> Colour:
    """Colour (red, green, blue; 0 to 255) of a part; rank: its place, from 0, among those of its role."""
    if role is Role.FLASHING:
        kind = next((places for word, places in KINDS if word in name), None)
        number = re.search(r"(\d+)$", name)
        if kind is None:
            return SHEET_TINTS[rank % len(SHEET_TINTS)]
        return SHEET_TINTS[kind[(int(number[1]) - 1 if number else 0) % len(kind)]]
    red, green, blue = ROLE_TINTS[role]
    darker = min(rank, 3) * 14
    return (red - darker, green - darker, blue - darker)


def hexadecimal(colour: Colour) -> str:
    """A colour as web pages write it: (255, 0, 16) -> "#ff0010"."""
    return "#{:02x}{:02x}{:02x}".format(*colour)
