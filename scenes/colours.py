"""Every colour that a picture of ours uses, in one table.

The strong hues are those of Okabe and Ito's colour-blind-safe set (bluish green, blue, vermilion,
reddish purple, orange, sky blue, yellow; from memory). Sheets take light tints of them, so that
water in dark blue and leaks in vermilion stand out on every sheet. No meaning rests on colour
alone: pieces carry letters, leaks numbers, hidden water is dashed.
"""

from __future__ import annotations

from typing import Final

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
SHORT_LAP: Final[Colour] = (120, 20, 110)
DECIDING: Final[Colour] = (64, 28, 8)

SHEET_TINTS: Final[tuple[Colour, ...]] = (
    (240, 208, 120),
    (150, 210, 186),
    (172, 198, 222),
    (222, 172, 202),
    (226, 224, 150),
    (196, 186, 230),
    (240, 184, 150),
    (168, 216, 222),
)
"""Tints for flashings, in the order of their letters; the ninth takes the first again and its own
letter."""

ROLE_TINTS: Final[dict[Role, Colour]] = {
    Role.COVERING: (214, 205, 194),
    Role.STACK: (234, 208, 192),
    Role.UNDERLAY: (122, 126, 140),
    Role.INSIDE: (176, 150, 112),
    Role.DEBRIS: (134, 140, 96),
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


def tint_of(role: Role, rank: int) -> Colour:
    """Colour (red, green, blue; 0 to 255) of the `rank`-th part (0 up) among those of its role."""
    if role is Role.FLASHING:
        return SHEET_TINTS[rank % len(SHEET_TINTS)]
    red, green, blue = ROLE_TINTS[role]
    darker = min(rank, 3) * 14
    return (red - darker, green - darker, blue - darker)


def hexadecimal(colour: Colour) -> str:
    """A colour as web pages write it: (255, 0, 16) -> "#ff0010"."""
    return "#{:02x}{:02x}{:02x}".format(*colour)
