"""Where everything goes round any plan: courses, layers, joints, and what each sheet lies on."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, tan

import numpy as np

from meshes.around.back_line import BackShape, back_lie, leg_of
from meshes.around.chains import Chains, chains_of, level_edge
from meshes.around.lie import Lie
from meshes.around.waves import past_a_crest, wave_of
from meshes.around.ways import beyond_soakers, check_way
from meshes.courses import SHEETS_IN_LAP, Courses, set_out
from meshes.errors import require
from meshes.line import NARROW, Line, offset
from meshes.plan import Corner, Kind, Plan
from meshes.rules import saddle_height, saddle_needed, underlay_lap
from meshes.spec import Detail, Dressed

Span = tuple[float, float]

OVER_RIDGE = 0.100  # [m] side flashings run on so far over the ridge: practice, no source
THINNEST = 0.002  # [m] what is left of a course's body over the sheets beneath it
LEVEL_BACK = 0.100  # [m] a shorter level edge behind the stack needs no sole
KINDS: dict[Dressed, Kind] = {
    "apron": Kind.FRONT, "left": Kind.LEFT, "right": Kind.RIGHT, "gutter": Kind.BACK,
}  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Scheme:
    """Derived places [m] of one detail round any plan. Layers count bedding gaps above the covering.

    plan: the stack's; chains: runs of its edges, each with its piece; courses: of the slope below
    (`over_gutter`: the first that lies over the sheet behind the stack, or their number where
    there is none); wave: (x, h) across the roof; x_span, y_span: from verge to verge, from eaves to
    the roof's upper end (to the eaves behind, where there is a ridge); outer: x of the outer edges of
    the sides' covers; back: what is behind the stack, None where there is a ridge.
    """

    detail: Detail
    plan: Plan
    chains: Chains
    layers: dict[Kind, int]
    courses: Courses
    wave: Line
    x_span: Span
    y_span: Span
    outer: Span
    back: BackShape | None

    @property
    def ridge(self) -> float | None:
        """y of the ridge [m], None where the stack doesn't stand through one."""
        return self.detail.roof.ridge

    @property
    def slope(self) -> float:
        """Tangent of the pitch."""
        return tan(self.detail.roof.pitch)

    @property
    def crest(self) -> float:
        """Height of the wave's crests [m]."""
        return float(self.wave[:, 1].max())

    @property
    def top_layer(self) -> int:
        """The highest layer of any piece."""
        return max(self.layers.values())

    @property
    def underlay_depth(self) -> float:
        """Upright depth [m] of the underlay below the plane through the noses."""
        roof = self.detail.roof
        return self.courses.deepest() + roof.batten / cos(roof.pitch)

    def nose_plane(self, y: float) -> float:
        """Height z [m] over y of the plane through the noses; of the two, where there is a ridge."""
        return self.down_from_ridge(y) * self.slope

    def down_from_ridge(self, y: float) -> float:
        """y on the slope below that is as high as y is: itself, or its mirror image in the ridge."""
        return y if self.ridge is None else min(y, 2 * self.ridge - y)

    def covering(self) -> Lie:
        """The covering's upper side, as the weather sees it; without what lies over the back sheet."""
        return Lie.of(self._mirrored(self.courses.weather_line()), self.wave)

    def cover_lie(self, layer: int) -> Lie:
        """What a cover in a layer lies along: the courses, or their noses where it rests on them."""
        if self.detail.cover_fit == "resting":
            return self.resting(layer)
        return self.covering().lifted(layer * self.detail.gap)

    def resting(self, layer: int) -> Lie:
        """A plane (two, with a ridge) on the noses and the wave's crests, in a layer."""
        line = self._mirrored(self.courses.nose_line())
        lifted = offset(line, layer * self.detail.gap)
        flat = np.column_stack([lifted[:, 0], lifted[:, 1] + self.crest])
        return Lie(flat, self.wave, np.zeros(len(flat)))

    def behind(self) -> Lie:
        """What the sheet behind the stack lies along."""
        assert self.back is not None
        layer = self.layers[Kind.BACK]
        return back_lie(self.detail, self.courses, self.back, self.wave, layer=layer)

    def underlay_top(self, y: float) -> float:
        """Height z [m] that the underlay's upturns reach beside the stack, and a little over."""
        roof = self.detail.roof
        up = max(roof.underlay_front, roof.underlay_sides / cos(roof.pitch))
        return self.nose_plane(y) - self.underlay_depth + up + 0.003

    def stand_off(self, layer: int) -> float:
        """How far an upstand in a layer stands off the stack [m]: the underlay is behind it."""
        return _off_wall(self.detail, self.layers, layer)

    def _mirrored(self, line: Line) -> Line:
        if self.ridge is None:
            return line
        ridge = self.ridge
        top = float(line[-1, 1])
        below = line[line[:, 0] < ridge - 1e-6]
        beyond = np.column_stack([2 * ridge - below[::-1, 0], below[::-1, 1]])
        return np.vstack([below, [[ridge, top]], beyond])


def scheme_of(detail: Detail, *, turned: bool = False) -> Scheme:
    """Work out chains, layers and courses. Raises PieceError when it can't be flashed so.

    turned: for the slope beyond a ridge: everything turned half round about the middle of the ridge.
    """
    check_way(detail)
    plan, ridge = detail.stack.outline(), detail.roof.ridge
    if turned:
        assert ridge is not None
        plan = Plan(tuple((-x + 0.0, round(2 * ridge - y, 12)) for x, y in plan.corners))
    over = 0.0 if turned else OVER_RIDGE
    chains = chains_of(plan) if ridge is None else chains_of(plan, ridge, over)
    layers = _layers(detail, chains)
    if ridge is not None and not turned:
        layers = {kind: layer + (kind is not Kind.FRONT) for kind, layer in layers.items()}
    left = detail.roof.beside if detail.roof.left is None else detail.roof.left
    right = detail.roof.beside if detail.roof.right is None else detail.roof.right
    room = (right, left) if turned else (left, right)
    x_span = (plan.left - room[0], plan.right + room[1])
    wave = wave_of(detail.roof, *x_span)
    between = 1 if detail.sides.way == "soakers" else 0
    if ridge is not None:
        _check_ridge(plan, ridge)
        courses = set_out(
            detail.roof,
            detail.gap,
            first_y=ridge,
            end_y=ridge,
            leg_gaps=1,
            above=0,
            between=between,
        )
        y_span, back = (courses.eaves, 2 * ridge - courses.eaves), None
    else:
        courses, back = _with_back(detail, plan, chains, layers, between)
        y_span = (courses.eaves, courses.top)
    cover = detail.sides.cover
    outer = tuple(
        past_a_crest(
            detail.roof,
            edge + side * (cover + _off_wall(detail, layers, layers_of(layers, side))),
            side,
        )
        for edge, side in ((plan.left, -1), (plan.right, 1))
    )
    return Scheme(
        detail=detail, plan=plan, chains=chains, layers=layers, courses=courses, wave=wave,
        x_span=x_span, y_span=y_span, outer=(outer[0], outer[1]), back=back,
    )  # fmt: skip


def _off_wall(detail: Detail, layers: dict[Kind, int], layer: int) -> float:
    beyond = layer >= min(layers.get(kind, layer + 1) for kind in (Kind.LEFT, Kind.RIGHT))
    return (layer + 1) * detail.gap + (beyond_soakers(detail) if beyond else 0.0)


def layers_of(layers: dict[Kind, int], side: int) -> int:
    """The layer of the piece at the left (-1) or right (+1) end of the stack."""
    kind = Kind.RIGHT if side > 0 else Kind.LEFT
    return layers.get(kind, layers.get(Kind.FRONT, 1))


def _with_back(
    detail: Detail, plan: Plan, chains: Chains, layers: dict[Kind, int], between: int
) -> tuple[Courses, BackShape]:
    """The courses set out to the sheet behind the stack, and its shape."""
    gutter, pitch = detail.gutter, detail.roof.pitch
    assert chains.back is not None
    face = plan.back + _off_wall(detail, layers, layers[Kind.BACK])
    edge = level_edge(chains.back)
    width = 0.0 if edge is None else abs(edge[0][0] - edge[1][0])
    level = width >= LEVEL_BACK
    by_rule = gutter.behind == "by rule" and level and saddle_needed(width, False)
    asked = gutter.behind == "saddle" or by_rule
    saddle = 0.0
    if asked:
        _check_level(edge if level else None)
        saddle = (
            saddle_height(width, pitch) if gutter.saddle_height is None else gutter.saddle_height
        )
        run = saddle / tan(pitch)
        end_y = face + run + gutter.open * cos(pitch)
    elif level:
        end_y = face + gutter.sole * cos(gutter.sole_fall)
    else:
        end_y = face + gutter.open * cos(pitch)
    under = detail.order.index("underlay") < detail.order.index("gutter")
    leg_gaps = 2 if under else 1
    courses = set_out(
        detail.roof, detail.gap, end_y=end_y, leg_gaps=leg_gaps, between=between,
        first_y=end_y + detail.roof.gutter_open * cos(pitch),
    )  # fmt: skip
    lap = detail.roof.underlay_lap or underlay_lap(pitch)
    leg = leg_of(detail, courses, lap)
    _check_roof_above(detail, courses, leg, lap, between)
    level_face = face if level and not asked else None
    return courses, BackShape(face, level_face, saddle, end_y, leg, leg_gaps)


def _check_level(edge: tuple[Corner, Corner] | None) -> None:
    rule = "behind a back that runs level, to lean on"
    require(edge is not None, "saddle", "a back without a level edge", rule)
    assert edge is not None
    (x0, y0), (x1, y1) = edge
    got = f"a back that rises {abs(y1 - y0) * 1000:.1f} mm over {abs(x1 - x0) * 1000:.0f} mm"
    require(abs(y1 - y0) < NARROW, "saddle", got, rule)


def _layers(detail: Detail, chains: Chains) -> dict[Kind, int]:
    meets = {frozenset({a.kind, b.kind}) for a, b in chains.neighbours()}
    there = {chain.kind for chain in (*chains.under, *([chains.back] if chains.back else []))}
    layers: dict[Kind, int] = {}
    for name in detail.order:
        kind = KINDS.get(name)
        if kind in there and kind is not None:
            below = [layers[other] for other in layers if frozenset({kind, other}) in meets]
            layers[kind] = 1 + max(below, default=0)
    if detail.joint == "slit and patch" and Kind.BACK in layers:
        others = [layer for kind, layer in layers.items() if kind is not Kind.BACK]
        # Patches lie between the sheet behind the stack and what it lies over.
        layers[Kind.BACK] += layers[Kind.BACK] > max(others)
    return layers


def _check_ridge(plan: Plan, ridge: float) -> None:
    got = f"{ridge * 1000:.0f} mm from the front"
    rule = f"50 mm or more within the stack, {plan.back * 1000:.0f} mm deep"
    require(plan.front + 0.05 < ridge < plan.back - 0.05, "ridge", got, rule)


def _check_roof_above(
    detail: Detail, courses: Courses, leg: float, lap: float, between: int
) -> None:
    need = (leg + lap) * cos(detail.roof.pitch) + 0.05
    room = courses.top - courses.courses[courses.over_gutter].nose_y
    rule = (
        f"longer than the sheet under the covering and the underlay over it ({need * 1000:.0f} mm)"
    )
    require(need < room, "roof above the stack", f"{detail.roof.above * 1000:g} mm", rule)
    thin = detail.gap * (1 + between + SHEETS_IN_LAP) + THINNEST
    lifted = courses.rise * cos(atan(courses.slope))
    rule = f"over {thin * 1000:.0f} mm here, to lift over the sheets beneath it"
    require(lifted > thin, "thickness", f"{detail.roof.thickness * 1000:g} mm", rule)
