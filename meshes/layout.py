"""Where everything goes: which sheet lies on which layer, and the lines they are folded along."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, sin, tan

from meshes.courses import Courses, courses_of
from meshes.errors import require
from meshes.line import Line, offset
from meshes.rules import lap_for_rise, underlay_lap
from meshes.spec import SIDES, Detail, Dressed

OVERLAPS: tuple[frozenset[Dressed], ...] = (
    frozenset({"apron", "left"}),
    frozenset({"apron", "right"}),
    frozenset({"gutter", "left"}),
    frozenset({"gutter", "right"}),
)
LEAST_FRONT = 0.010  # [m] a gutter's end lap of usual length ends this far above the front corner
EAR_SHEETS = 2  # a pleated ear is two sheets more between the apron's fin and the side's


@dataclass(frozen=True, slots=True)
class Layout:
    """Derived places [m] of one detail. Layers count bedding gaps above the covering.

    Against the stack a sheet stands one gap further off than its layer, for the underlay behind it.
    """

    detail: Detail
    layers: dict[Dressed, int]
    courses: Courses
    front_lines: dict[Dressed, float]
    side_lines: dict[Dressed, float]
    apron_edge: float
    half_gutter: float
    gutter_leg: float
    gutter_lap: float
    underlay_lap: float
    leg_gaps: int
    underlay_gaps: int

    def earlier(self, first: Dressed, second: Dressed) -> bool:
        """Whether `first` is dressed before `second`."""
        return self.detail.order.index(first) < self.detail.order.index(second)

    def cover_line(self, piece: Dressed) -> Line:
        """Section (y, z) of a cover lying on the covering in this piece's layer [m]."""
        dressed = self.detail.cover_fit == "dressed"
        base = self.courses.weather_line() if dressed else self.courses.nose_line()
        return offset(base, self.layers[piece] * self.detail.gap)

    def water_line(self, y: float) -> float:
        """Height z [m] over y of the top of a side flashing's upstand."""
        pitch = self.detail.roof.pitch
        return y * tan(pitch) + self.detail.sides.upstand / cos(pitch)

    @property
    def underlay_depth(self) -> float:
        """Upright depth [m] of the underlay below the plane through the noses: courses and battens."""
        roof = self.detail.roof
        return self.courses.deepest() + roof.batten / cos(roof.pitch)

    @property
    def half_stack(self) -> float:
        """Half the stack's width [m]."""
        return self.detail.stack.width / 2

    @property
    def half_apron(self) -> float:
        """Half the width of the apron's cover [m]."""
        return self.half_stack + self.detail.apron.overhang


def layout_of(detail: Detail) -> Layout:
    """Work out layers and lines. Raises PieceError when the measurements can't be flashed so."""
    gap, sides, gutter = detail.gap, detail.sides, detail.gutter
    layers = _layers(detail)
    front = {piece: (layer + 1) * gap for piece, layer in layers.items()}
    side = dict(front)
    if detail.joint == "fin":
        # The fins stand in one plane with the stack's side whatever their order: the apron's inside.
        side["apron"] = front["apron"] = 2 * gap
        side["left"] = side["right"] = side["apron"] + (1 + EAR_SHEETS) * gap
    before = [name for name in SIDES if _before(detail, name, "gutter")]
    side["gutter"] = max([front["gutter"], *(side[name] + gap for name in before)])
    under = _before(detail, "underlay", "gutter")
    leg_gaps = 2 if under else 1
    welt_gaps = 1 if gutter.welt > 0 else 0
    underlay_gaps = 1 if under else 2 + welt_gaps
    face = detail.stack.depth + front["gutter"]
    courses = courses_of(detail, gutter_face=face, leg_gaps=leg_gaps)
    beyond = max(side["left"], side["right"]) + sides.cover + 0.010
    half = detail.stack.width / 2 + (beyond if gutter.beyond_stack is None else gutter.beyond_stack)
    own = atan(courses.slope)
    upper_lap = detail.roof.underlay_lap or underlay_lap(detail.roof.pitch)
    leg = gutter.leg if gutter.leg is not None else max(lap_for_rise(own), upper_lap + 0.025)
    pitch = detail.roof.pitch
    beside = detail.stack.depth / cos(pitch)
    usual_lap = min(lap_for_rise(pitch) + 0.015, beside - LEAST_FRONT)
    lap = gutter.lap if gutter.lap is not None else usual_lap
    made = Layout(
        detail=detail,
        layers=layers,
        courses=courses,
        front_lines=front,
        side_lines=side,
        apron_edge=-front["apron"] - detail.apron.cover * cos(pitch),
        half_gutter=half,
        gutter_leg=leg,
        gutter_lap=lap,
        underlay_lap=upper_lap,
        leg_gaps=leg_gaps,
        underlay_gaps=underlay_gaps,
    )
    _check(made)
    return made


def _before(detail: Detail, first: Dressed, second: Dressed) -> bool:
    return detail.order.index(first) < detail.order.index(second)


def _layers(detail: Detail) -> dict[Dressed, int]:
    layers: dict[Dressed, int] = {}
    for piece in detail.order:
        if piece == "underlay":
            continue
        under = [layers[other] for other in layers if frozenset({piece, other}) in OVERLAPS]
        layers[piece] = 1 + max(under, default=0)
    return layers


def front_of_sole_of(layout: Layout) -> float:
    """Height z [m] of the bend between the back gutter's sole and its upstand."""
    gutter = layout.detail.gutter
    return layout.courses.sole_end[1] - gutter.sole * sin(gutter.sole_fall)


def _check(layout: Layout) -> None:
    detail, courses = layout.detail, layout.courses
    pitch = detail.roof.pitch
    leg_run = (layout.gutter_leg + layout.underlay_lap) * cos(pitch)
    room = courses.top - courses.courses[courses.over_gutter].nose_y
    require(
        leg_run + 0.05 < room,
        "roof above the stack",
        f"{detail.roof.above * 1000:g} mm",
        f"longer than the gutter's leg and the underlay over it ({leg_run * 1000 + 50:.0f} mm)",
    )
    whole = detail.roof.gutter_open + layout.gutter_leg
    least = layout.underlay_lap + 0.040 if layout.gutter_leg <= 0 else 0.040
    require(
        whole > least,
        "gutter leg",
        f"{layout.gutter_leg * 1000:g} mm",
        f"over {(least - detail.roof.gutter_open) * 1000:.0f} mm here, to rise from the sole",
    )
    own = atan(courses.slope)
    leg_top = courses.courses[courses.over_gutter].nose_y + layout.gutter_leg * cos(own)
    sunk = leg_top * tan(pitch) - courses.top_of(courses.over_gutter - 1, leg_top)
    require(
        sunk + 0.010 < layout.underlay_depth,
        "gutter leg",
        f"{layout.gutter_leg * 1000:.0f} mm",
        "shorter, so that it ends above the underlay: set leg_mm, or take a steeper covering",
    )
    need = detail.gap * (2 + layout.underlay_gaps) + 0.002
    require(
        courses.rise * cos(pitch) > need,
        "thickness",
        f"{detail.roof.thickness * 1000:g} mm",
        f"over {need / cos(pitch) * 1000:.0f} mm here, to lift over the sheets beneath it",
    )
    beside = detail.stack.depth / cos(pitch)
    require(
        layout.gutter_lap < beside,
        "gutter lap",
        f"{layout.gutter_lap * 1000:g} mm",
        f"under {beside * 1000:.0f} mm, the slope beside the stack",
    )
    gutter_top = front_of_sole_of(layout) + detail.gutter.upstand
    line = layout.water_line(detail.stack.depth) + 0.020
    require(
        gutter_top > line,
        "gutter upstand",
        f"{detail.gutter.upstand * 1000:g} mm",
        f"over {(detail.gutter.upstand + line - gutter_top) * 1000:.0f} mm here, above the sides'",
    )
    edge = layout.half_gutter
    limit = detail.stack.width / 2 + detail.roof.beside - 0.05
    require(
        edge < limit,
        "back gutter",
        f"{edge * 2000:.0f} mm wide",
        f"at most {limit * 2000:.0f} mm wide, within the roof",
    )
    require(
        layout.half_apron < limit,
        "apron",
        f"{layout.half_apron * 2000:.0f} mm wide",
        f"at most {limit * 2000:.0f} mm wide, within the roof",
    )
    front_of_sole = front_of_sole_of(layout)
    surface = (detail.stack.depth + layout.front_lines["gutter"]) * tan(pitch)
    need = surface + 5 * detail.gap
    require(
        front_of_sole > need,
        "gutter sole",
        f"{detail.gutter.sole * 1000:g} mm",
        "wide enough to stand clear of the covering beside the stack at this pitch",
    )
