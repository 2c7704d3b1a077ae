"""How the blanks lie on rolls and sheets, with the least waste that was found.

Blanks are packed as rectangles by `rectpack`, several times in several orders; the best is kept. What is
used of a roll or a sheet is its width times the length cut off it: the rest is stock again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, product
from math import ceil, floor
from typing import Any

import rectpack  # type: ignore[import-untyped]

from scenes.cutting.stock import Stock

STEP = 1e-4  # [m] rectangles are packed in whole tenths of a millimetre, rounded up
MOST_WIDTHS = 2  # stock of more widths is not bought for one stack
AS_GOOD = 0.005  # [1] a plan with fewer widths may waste so much more
CLOSER = 3  # choices of stock that are looked at more closely
Try = tuple[Any, Any, str]
QUICK: tuple[Try, ...] = ((rectpack.MaxRectsBl, rectpack.SORT_AREA, "either way"),)
THOROUGH: tuple[Try, ...] = tuple(
    product(
        (rectpack.MaxRectsBl, rectpack.SkylineBl),
        (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE),
        ("either way", "along", "across", "filling"),
    )
)
"""How blanks are packed, in which order, and which way each lies."""


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle to cut: its name, width and height, area of what is in it [m, m2]."""

    name: str
    width: float
    height: float
    area: float


@dataclass(frozen=True, slots=True)
class Laid:
    """A blank on a piece of stock: lower left corner and size there [m]; turned by a quarter or not."""

    blank: Blank
    x: float
    y: float
    width: float
    height: float

    @property
    def turned(self) -> bool:
        """Whether it lies a quarter round from how its pattern is drawn."""
        return abs(self.width - self.blank.width) > 2 * STEP


@dataclass(frozen=True, slots=True)
class Used:
    """One roll or sheet, the length used of it [m], and what is cut from it."""

    stock: Stock
    length: float
    laid: tuple[Laid, ...]

    @property
    def area(self) -> float:
        """Cut off the stock [m2]."""
        return self.stock.width * self.length


@dataclass(frozen=True, slots=True)
class Packing:
    """used: each roll or sheet; left_out: blanks that no stock takes."""

    used: tuple[Used, ...]
    left_out: tuple[Blank, ...]

    @property
    def waste(self) -> float:
        """Share of what is cut off the stock that no blank has, 0 to 1; 0 where nothing is cut."""
        cut = sum(one.area for one in self.used)
        own = sum(laid.blank.area for one in self.used for laid in one.laid)
        return 1 - own / cut if cut > 0 else 0.0


Known = dict[tuple[Stock, tuple[Blank, ...]], tuple[Used, ...]]


def packed(blanks: Sequence[Blank], stock: Sequence[Stock], *, along: bool) -> Packing:
    """The blanks on stock of one or two widths, with the least waste that was found.

    along: whether a blank's longer side must lie along the stock. Every choice of stock is tried once, the
    best of them in every order and turn. The same result each time.
    """
    fits = [[one for one in stock if _fits(blank, one, along=along)] for blank in blanks]
    left_out = tuple(blank for blank, some in zip(blanks, fits, strict=True) if not some)
    rest = [blank for blank, some in zip(blanks, fits, strict=True) if some]
    choices = [
        groups
        for number in range(1, MOST_WIDTHS + 1)
        for some in combinations(stock, number)
        if (groups := _by_stock(rest, some, along=along)) is not None and len(groups) == number
    ]
    if not choices:
        groups = _by_stock(rest, stock, along=along)
        assert groups is not None, "every blank left fits some of the stock"
        choices = [groups]
    quick: Known = {}
    full: Known = {}
    once = [_plan(groups, quick, left_out, QUICK, along=along) for groups in choices]
    order = sorted(range(len(choices)), key=lambda at: (round(_cost(once[at]), 9), at))
    plans = [_plan(choices[at], full, left_out, THOROUGH, along=along) for at in order[:CLOSER]]
    return min(plans, key=lambda plan: round(_cost(plan), 9))


def _cost(plan: Packing) -> float:
    """Waste, and a little for each further width."""
    return plan.waste + AS_GOOD * len({used.stock for used in plan.used})


def _fits(blank: Blank, stock: Stock, *, along: bool) -> bool:
    short, long = sorted((_whole(blank.width), _whole(blank.height)))
    wide, deep = floor(stock.width / STEP + 0.5), floor(stock.length / STEP + 0.5)
    return (short <= wide and long <= deep) or (not along and long <= wide and short <= deep)


def _by_stock(
    blanks: Sequence[Blank], stock: Sequence[Stock], *, along: bool
) -> dict[Stock, list[Blank]] | None:
    """Each blank with the narrowest of some stock that takes it; None where one fits none."""
    narrow = sorted(stock, key=lambda one: (one.width, one.length))
    groups: dict[Stock, list[Blank]] = {}
    for blank in blanks:
        first = next((one for one in narrow if _fits(blank, one, along=along)), None)
        if first is None:
            return None
        groups.setdefault(first, []).append(blank)
    return groups


def _plan(
    groups: dict[Stock, list[Blank]],
    known: Known,
    left_out: tuple[Blank, ...],
    tries: Sequence[Try],
    *,
    along: bool,
) -> Packing:
    """Each stock with its blanks. known: what was packed so before, added to here."""
    found: list[Used] = []
    for stock, own in groups.items():
        key = (stock, tuple(own))
        if key not in known:
            tried = [_tried(own, stock, one, along=along) for one in tries]
            known[key] = min(tried, key=lambda used: round(sum(one.length for one in used), 6))
        found += known[key]
    return Packing(tuple(found), left_out)


def _tried(blanks: Sequence[Blank], stock: Stock, one: Try, *, along: bool) -> tuple[Used, ...]:
    way, order, turn = one
    wide, deep = floor(stock.width / STEP + 0.5), floor(stock.length / STEP + 0.5)
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=rectpack.PackingBin.BBF,
        pack_algo=way,
        sort_algo=order,
        rotation=turn == "either way" and not along,
    )
    for number, blank in enumerate(blanks):
        short, long = sorted((_whole(blank.width), _whole(blank.height)))
        can = not along and long <= wide and short <= deep
        # Across, or in the way that leaves least beside as many of them as the width takes.
        lies = can and (turn == "across" or (turn == "filling" and wide % long <= wide % short))
        packer.add_rect(*((long, short) if lies else (short, long)), rid=number)
    packer.add_bin(wide, deep, count=len(blanks))
    packer.pack()
    rows: dict[int, list[Laid]] = {}
    for at, x, y, width, height, number in packer.rect_list():
        size = (x * STEP, y * STEP, width * STEP, height * STEP)
        rows.setdefault(at, []).append(Laid(blanks[number], *size))
    if sum(len(row) for row in rows.values()) < len(blanks):
        # A blank that lies along fits no other way here: what is packed so is worth nothing.
        return (Used(stock, float("inf"), ()),)
    return tuple(
        Used(stock, max(one.y + one.height for one in row), tuple(sorted(row, key=_place)))
        for _, row in sorted(rows.items())
    )


def _place(one: Laid) -> tuple[float, float]:
    return one.y, one.x


def _whole(length: float) -> int:
    """In steps, rounded up."""
    return ceil(length / STEP - 1e-6)
