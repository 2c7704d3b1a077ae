"""What the builder is told: frozen measurements [m, rad] that can't hold nonsense.

Defaults rest on the trade's usual figures: cover 150 mm, upstand 150 mm, water line 65 mm, chase and
turn-in 25 mm, apron 50 mm past the stack, return 25 to 30 mm, sole 150 mm (trade guidance and common
practice; the README's table of defaults says which is which).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import atan, cos, isfinite, radians, tan
from typing import Literal

from meshes.errors import require

Covering = Literal["coursed", "plain"]
Joint = Literal["return", "fin"]
CoverFit = Literal["dressed", "resting"]
Side = Literal["left", "right"]
Leaves = Literal["none", "left", "right", "both"]
Dressed = Literal["apron", "left", "right", "gutter", "underlay"]

SIDES: tuple[Side, Side] = ("left", "right")
USUAL_ORDER: tuple[Dressed, ...] = ("apron", "left", "right", "gutter", "underlay")


def _within(name: str, got: float, low: float, high: float, unit: str = "mm") -> None:
    factor = 180 / 3.141592653589793 if unit == "degrees" else 1000
    ok = isfinite(got) and low - 1e-12 <= got <= high + 1e-12
    span = f"{low * factor:g} to {high * factor:g} {unit}"
    require(ok, name, f"{got * factor:g} {unit}", span)


@dataclass(frozen=True, slots=True, kw_only=True)
class Roof:
    """One slope. pitch [rad]; lengths [m]. `below`, `above`, `beside` are plan distances of roof."""

    pitch: float
    covering: Covering = "coursed"
    gauge: float = 0.100
    thickness: float = 0.012
    head_lap: float = 0.065
    double_lap: bool = True
    batten: float = 0.025
    clearance: float = 0.010
    gutter_open: float = 0.040
    below: float = 1.0
    above: float = 1.2
    beside: float = 0.6
    underlay_front: float = 0.100
    underlay_sides: float = 0.070
    underlay_lap: float | None = None

    def __post_init__(self) -> None:
        _within("pitch", self.pitch, radians(10), radians(65), "degrees")
        require(
            self.covering in ("coursed", "plain"), "covering", self.covering, "coursed or plain"
        )
        _within("gauge", self.gauge, 0.05, 0.6)
        _within("thickness", self.thickness, 0.006, 0.06)
        _within("head lap", self.head_lap, 0.02, 0.3)
        _within("batten", self.batten, 0.01, 0.1)
        _within("clearance", self.clearance, 0.005, 0.1)
        _within("gutter open", self.gutter_open, 0.0, 1.0)
        _within("roof below", self.below, 0.3, 20)
        _within("roof above", self.above, 0.5, 20)
        _within("roof beside", self.beside, 0.3, 20)
        _within("underlay upturn at the front", self.underlay_front, 0.03, 0.2)
        _within("underlay upturn at the sides", self.underlay_sides, 0.03, 0.2)
        if self.underlay_lap is not None:
            _within("underlay lap", self.underlay_lap, 0.02, 0.5)
        fall = self.covering_pitch
        rule = "more than 2 degrees: a lower pitch needs a longer gauge or a thinner covering"
        require(fall > radians(2), "pitch of the covering itself", f"{fall * 57.29578:.1f}", rule)

    @property
    def tilt(self) -> float:
        """Slope of a course against the rafters, thickness over gauge [unitless]; nil when plain."""
        return self.thickness / self.gauge if self.covering == "coursed" else 0.0

    @property
    def covering_pitch(self) -> float:
        """Pitch of the covering's own surface, flatter than the rafters' [rad]."""
        return self.pitch - atan(self.tilt)

    @property
    def course_length(self) -> float:
        """Length of one course from nose to head [m]: twice the gauge plus lap when double-lapped."""
        return self.gauge * (2 if self.double_lap else 1) + self.head_lap


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """An upright stack, rectangular in plan. `height` is above the covering at the front [m].

    `pointed`: the chases are filled round their turn-ins, flush with the faces, with mortar or sealant.
    """

    width: float
    depth: float
    height: float = 1.2
    capping_overhang: float = 0.040
    capping_thickness: float = 0.060
    chase_depth: float = 0.035
    chase_height: float = 0.012
    pointed: bool = True

    def __post_init__(self) -> None:
        _within("stack width", self.width, 0.2, 6)
        _within("stack depth", self.depth, 0.2, 6)
        _within("stack height", self.height, 0.3, 6)
        _within("capping overhang", self.capping_overhang, 0.0, 0.3)
        _within("capping thickness", self.capping_thickness, 0.02, 0.3)
        _within("chase depth", self.chase_depth, 0.0, 0.09)
        _within("chase height", self.chase_height, 0.006, 0.03)


@dataclass(frozen=True, slots=True, kw_only=True)
class Apron:
    """Front apron: turn-in, upstand, cover; `overhang` past the stack at each end [m]."""

    turn_in: float = 0.025
    upstand: float = 0.150
    cover: float = 0.150
    overhang: float = 0.050

    def __post_init__(self) -> None:
        _within("apron turn-in", self.turn_in, 0.0, 0.08)
        _within("apron upstand", self.upstand, 0.03, 0.5)
        _within("apron cover", self.cover, 0.02, 1)
        _within("apron overhang", self.overhang, 0.0, 0.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """Side flashings: turn-in, upstand to the water line (square to the slope), cover [m].

    `corner_return` is how far the upstand turns onto the stack's front and back faces; `fold_over` is
    how far the edge of a fin joint stands above the apron's and is folded over it.
    """

    turn_in: float = 0.025
    upstand: float = 0.065
    cover: float = 0.150
    corner_return: float = 0.030
    fold_over: float = 0.027

    def __post_init__(self) -> None:
        _within("side turn-in", self.turn_in, 0.0, 0.08)
        _within("side upstand", self.upstand, 0.02, 0.4)
        _within("side cover", self.cover, 0.02, 1)
        _within("corner return", self.corner_return, 0.0, 0.09)
        _within("fold over", self.fold_over, 0.01, 0.04)


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

    def __post_init__(self) -> None:
        _within("gutter turn-in", self.turn_in, 0.0, 0.08)
        _within("gutter upstand", self.upstand, 0.03, 0.5)
        _within("gutter sole", self.sole, 0.05, 0.6)
        _within("gutter welt", self.welt, 0.0, 0.06)
        _within("gutter upstand return", self.upstand_return, 0.0, 0.09)
        _within("sole fall", self.sole_fall, radians(0.05), radians(15), "degrees")
        if self.leg is not None:
            _within("gutter leg", self.leg, -0.5, 1)
        if self.lap is not None:
            _within("gutter lap", self.lap, 0.03, 1)
        if self.beyond_stack is not None:
            _within("gutter beyond the stack", self.beyond_stack, 0.0, 1.5)


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
        _within("leaves high", self.leaves_high, 0.01, 0.3)
        _within("leaves long", self.leaves_long, 0.05, 3)
        _within("snow", self.snow, 0.0, 2)
        alone = self.leaves == "none" or self.snow == 0
        require(alone, "snow", f"{self.snow * 1000:g} mm", "0 where there are leaves")


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """Everything the builder needs for one stack on one slope; `gap` is the bedding gap [m]."""

    roof: Roof
    stack: Stack
    apron: Apron = field(default_factory=Apron)
    sides: Sides = field(default_factory=Sides)
    gutter: BackGutter = field(default_factory=BackGutter)
    debris: Debris = field(default_factory=Debris)
    joint: Joint = "return"
    cover_fit: CoverFit = "dressed"
    order: tuple[Dressed, ...] = USUAL_ORDER
    gap: float = 0.001

    def __post_init__(self) -> None:
        _within("bedding gap", self.gap, 0.0005, 0.002)
        require(self.joint in ("return", "fin"), "joint", self.joint, "return or fin")
        require(
            self.cover_fit in ("dressed", "resting"),
            "cover fit",
            self.cover_fit,
            "dressed or resting",
        )
        named = f"each of {', '.join(USUAL_ORDER)} once"
        complete = sorted(self.order) == sorted(USUAL_ORDER)
        require(complete, "order", ", ".join(self.order), named)
        reach = self.sides.cover + 0.1
        require(
            reach < self.roof.beside,
            "side cover",
            f"{self.sides.cover * 1000:g} mm",
            f"100 mm less than the roof beside the stack ({self.roof.beside * 1000:g} mm)",
        )
        slope_below = self.roof.below / cos(self.roof.pitch)
        require(
            self.apron.cover + 0.1 < slope_below,
            "apron cover",
            f"{self.apron.cover * 1000:g} mm",
            f"100 mm less than the slope below the stack ({slope_below * 1000:.0f} mm)",
        )
        need = self.apron.upstand + 0.1 + self.stack.depth * tan(self.roof.pitch)
        high = f"{self.stack.height * 1000:g} mm"
        rule = f"over the flashings' top edges ({need * 1000:.0f} mm)"
        require(self.stack.height > need, "stack height", high, rule)
