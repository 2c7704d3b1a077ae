"""What the builder is told: frozen measurements [m, rad] that can't hold nonsense.

Defaults rest on the trade's usual figures: cover 150 mm, upstand 150 mm, water line 65 mm, chase and
turn-in 25 mm, apron 50 mm past the stack, return 25 to 30 mm, sole 150 mm (trade guidance and common
practice; the README's table of defaults says which is which).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, radians, tan
from typing import Literal

from meshes.errors import require, within
from meshes.spec_roof import Covering as Covering
from meshes.spec_roof import Roof as Roof
from meshes.spec_stack import PlanKind as PlanKind
from meshes.spec_stack import Stack as Stack

Joint = Literal["return", "fin", "slit and patch", "bossed"]
Facing = Literal["down-slope", "up-slope"]
SideWay = Literal["cover", "soakers", "stepped cover"]
Behind = Literal["gutter", "saddle", "by rule"]
CoverFit = Literal["dressed", "resting"]
Side = Literal["left", "right"]
Leaves = Literal["none", "left", "right", "both"]
Dressed = Literal["apron", "left", "right", "gutter", "underlay"]

SIDES: tuple[Side, Side] = ("left", "right")
TURNED_ROUND = ("flashing_tucked", "tucked_soaker", "tucked_step", "step_behind")
"""Measures of laps put together the wrong way round: no scene file has them, only faults set them."""
USUAL_ORDER: tuple[Dressed, ...] = ("apron", "left", "right", "gutter", "underlay")


@dataclass(frozen=True, slots=True, kw_only=True)
class Apron:
    """Front apron: turn-in, upstand, cover; `overhang` past the stack at each end [m].

    `two_part`: the upstand stands free and a separate cover flashing, turned into the chase, laps
    `flashing_lap` down over it; `flashing_tucked`: it hangs down behind the upstand instead.
    """

    turn_in: float = 0.025
    upstand: float = 0.150
    cover: float = 0.150
    overhang: float = 0.050
    two_part: bool = False
    flashing_lap: float = 0.075
    flashing_tucked: bool = False

    def __post_init__(self) -> None:
        within("apron turn-in", self.turn_in, 0.0, 0.08)
        within("apron upstand", self.upstand, 0.03, 0.5)
        within("apron cover", self.cover, 0.02, 1)
        within("apron overhang", self.overhang, 0.0, 0.5)
        within("apron flashing lap", self.flashing_lap, 0.02, 0.3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """Side flashings: turn-in, upstand to the water line (square to the slope), cover [m].

    `corner_return` is how far the upstand turns onto the stack's front and back faces; `fold_over` is
    how far the edge of a fin joint stands above the apron's and is folded over it. way: one "cover"
    piece; "soakers" between the courses with step flashing over them; or a "stepped cover", step and
    cover in one piece. A soaker lies `soaker_width` on the roof and stands `soaker_upturn` up the
    wall, over the courses' noses; a step laps the next by `step_lap`. `tucked_soaker`, `tucked_step`:
    the number, from the front up, of the one whose lower end lies under the one below it (0: none);
    `step_behind`: of the step that hangs behind the soakers' upturns.
    """

    turn_in: float = 0.025
    upstand: float = 0.065
    cover: float = 0.150
    corner_return: float = 0.030
    fold_over: float = 0.027
    way: SideWay = "cover"
    soaker_width: float = 0.100
    soaker_upturn: float = 0.075
    step_lap: float = 0.050
    tucked_soaker: int = 0
    tucked_step: int = 0
    step_behind: int = 0

    def __post_init__(self) -> None:
        within("side turn-in", self.turn_in, 0.0, 0.08)
        within("side upstand", self.upstand, 0.02, 0.4)
        within("side cover", self.cover, 0.02, 1)
        within("corner return", self.corner_return, 0.0, 0.09)
        within("fold over", self.fold_over, 0.01, 0.04)
        known = ("cover", "soakers", "stepped cover")
        require(self.way in known, "side way", self.way, "cover, soakers or stepped cover")
        within("soaker width", self.soaker_width, 0.05, 0.3)
        within("soaker upturn", self.soaker_upturn, 0.04, 0.2)
        within("step lap", self.step_lap, 0.02, 0.15)


@dataclass(frozen=True, slots=True, kw_only=True)
class BackGutter:
    """Back gutter: turn-in, upstand, sole, up-slope leg under the covering, welt [m].

    `leg` is measured up from the covering's nose to the gutter's top edge (below nought: the
    covering stops short of it); `lap` is how far its ends lie
    down over the side flashings; `beyond_stack` is how far it runs past the stack at each end (None:
    to the outer edges of the side flashings and 10 mm over); `upstand_return` is how far the upstand
    turns onto the stack's sides, soldered or welded at the corner; `sole_fall` [rad] is its fall to
    the stack.
    None for `leg` or `lap` means: as the 75 mm rise rule asks.
    behind: a level "gutter" where the stack's back is level (a back that isn't sheds its water along
    its edges by itself), a "saddle" over it, or one "by rule" where IRC R1003.20 asks for it.
    `saddle_height` is the saddle's ridge above the roof at the stack (None: half the stack's width
    times the tangent of the pitch, so that the saddle has the roof's pitch). `open` is the breadth of
    valley left open between the stack or the saddle's valleys and the covering cut to them.
    `two_part`, `flashing_lap`, `flashing_tucked`: as the apron's.
    """

    turn_in: float = 0.025
    upstand: float = 0.120
    sole: float = 0.150
    leg: float | None = None
    welt: float = 0.025
    lap: float | None = None
    beyond_stack: float | None = None
    upstand_return: float = 0.030
    sole_fall: float = radians(1.0)
    behind: Behind = "gutter"
    saddle_height: float | None = None
    open: float = 0.100
    two_part: bool = False
    flashing_lap: float = 0.075
    flashing_tucked: bool = False

    def __post_init__(self) -> None:
        within("gutter turn-in", self.turn_in, 0.0, 0.08)
        within("gutter upstand", self.upstand, 0.03, 0.5)
        within("gutter sole", self.sole, 0.05, 0.6)
        within("gutter welt", self.welt, 0.0, 0.06)
        within("gutter upstand return", self.upstand_return, 0.0, 0.09)
        within("sole fall", self.sole_fall, radians(0.05), radians(15), "degrees")
        known = ("gutter", "saddle", "by rule")
        require(self.behind in known, "behind", self.behind, "gutter, saddle or by rule")
        within("valley open", self.open, 0.03, 0.4)
        within("gutter flashing lap", self.flashing_lap, 0.02, 0.3)
        if self.saddle_height is not None:
            within("saddle height", self.saddle_height, 0.03, 3)
        if self.leg is not None:
            within("gutter leg", self.leg, -0.5, 1)
        if self.lap is not None:
            within("gutter lap", self.lap, 0.03, 1)
        if self.beyond_stack is not None:
            within("gutter beyond the stack", self.beyond_stack, 0.0, 1.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Debris:
    """What lies behind the stack [m]: leaves in the ends of the back gutter, or snow.

    `leaves_high` is the crest of a heap above the sole's front edge, `leaves_long` its length from
    the end of the trough; `snow` is the depth above the covering, square to the slope (0: none).
    The sizes of a heap are invented: no source.
    """

    leaves: Leaves = "none"
    leaves_high: float = 0.060
    leaves_long: float = 0.200
    snow: float = 0.0

    def __post_init__(self) -> None:
        known = ("none", "left", "right", "both")
        require(self.leaves in known, "leaves", self.leaves, "none, left, right or both")
        within("leaves high", self.leaves_high, 0.01, 0.3)
        within("leaves long", self.leaves_long, 0.05, 3)
        within("snow", self.snow, 0.0, 2)
        alone = self.leaves == "none" or self.snow == 0
        require(alone, "snow", f"{self.snow * 1000:g} mm", "0 where there are leaves")


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """Everything the builder needs for one stack; `gap` is the bedding gap [m].

    facing: which way the folds at the corners face: down the slope, so that water runs off them, or
    up it. material: a key of `materials.MATERIALS`.
    """

    roof: Roof
    stack: Stack
    apron: Apron = field(default_factory=Apron)
    sides: Sides = field(default_factory=Sides)
    gutter: BackGutter = field(default_factory=BackGutter)
    debris: Debris = field(default_factory=Debris)
    joint: Joint = "return"
    facing: Facing = "down-slope"
    material: str = "lead code 4"
    cover_fit: CoverFit = "dressed"
    order: tuple[Dressed, ...] = USUAL_ORDER
    gap: float = 0.001

    def __post_init__(self) -> None:
        within("bedding gap", self.gap, 0.0005, 0.002)
        known = ("return", "fin", "slit and patch", "bossed")
        require(self.joint in known, "joint", self.joint, "return, fin, slit and patch or bossed")
        ways = ("down-slope", "up-slope")
        require(self.facing in ways, "facing", self.facing, "down-slope or up-slope")
        require(
            self.cover_fit in ("dressed", "resting"),
            "cover fit",
            self.cover_fit,
            "dressed or resting",
        )
        named = f"each of {', '.join(USUAL_ORDER)} once"
        complete = sorted(self.order) == sorted(USUAL_ORDER)
        require(complete, "order", ", ".join(self.order), named)
        slope_below = self.roof.below / cos(self.roof.pitch)
        require(
            self.apron.cover + 0.1 < slope_below,
            "apron cover",
            f"{self.apron.cover * 1000:g} mm",
            f"100 mm less than the slope below the stack ({slope_below * 1000:.0f} mm)",
        )
        rises = self.stack.outline().back
        if self.roof.ridge is not None:
            rises = min(rises, self.roof.ridge)
        need = self.apron.upstand + 0.1 + rises * tan(self.roof.pitch)
        high = f"{self.stack.height * 1000:g} mm"
        rule = f"over the flashings' top edges ({need * 1000:.0f} mm)"
        require(self.stack.height > need, "stack height", high, rule)
