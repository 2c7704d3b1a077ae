"""Step flashing over soakers: one piece a brick course on each side, or one strip a side."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from meshes.around.chains import Chain
from meshes.around.corner_ends import ending
from meshes.around.corners import MOST_OF_EDGE
from meshes.around.lie import Lie
from meshes.around.rim import Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.around.skirt import sheet_of
from meshes.around.soakers import (
    BEHIND_SOAKERS,
    Soaker,
    first_lie,
    inner_edge,
    soaker_pieces,
    soakers_on,
    upturn_top,
)
from meshes.around.step_flashing import (
    BEHIND_RISER,
    Ends,
    Wall,
    corner_end,
    riser_lip,
    stair,
    steps_on,
    tread,
    wall_of,
)
from meshes.around.steps import Step
from meshes.around.turned_round import TurnedSteps, turned_steps
from meshes.around.upstand import BEFORE_WALL, CLEAR_OF_TOP, RETURN_DROP, return_under
from meshes.around.ways import steps_off
from meshes.errors import require
from meshes.piece import TIGHT, Named, Piece, piece
from meshes.plan import Corner, Kind
from meshes.rules import step_run
from meshes.sheet import Point

CLEAR = 0.010  # [m] the lower edge of step flashing keeps so far above the covering's noses
MOST_PARTS = 64  # that the water's model takes (sim.surface)
OTHER_PARTS = 9  # stack, apron and back in two parts each, two underlays, covering, loft
LEAST_RETURN = (
    0.002  # [m] a step that is to turn round a corner by less than this isn't turned there
)
OVER_UPTURN = (
    0.003  # [m] a riser's edge over a step behind the soakers ends so far above their upturns
)
LEAST_SEEN = 0.010  # [m] the second step begins at least so far up from the stack's front


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """One wall with what its step flashing must know."""

    scheme: Scheme
    wall: Wall
    steps: tuple[Step, ...]
    first_soaker: Soaker
    back: Sheet
    turned: TurnedSteps

    @property
    def name(self) -> str:
        return "left" if self.wall.side < 0 else "right"

    @property
    def lower(self) -> Lie:
        """The surface on which the lower edge lies: just above the noses."""
        return self.scheme.resting(0).lifted(CLEAR)

    def off(self, step: Step, y: float) -> float:
        """How far off the wall a step's own sheet stands at y [m]: its lower end comes out over the step
        below. One whose lower end lies under that doesn't, and may hang behind the soakers; the one below
        stands a bedding gap outside it, as far off all along as its own lower end."""
        detail = self.scheme.detail
        run = step_run(detail.stack.brick_gauge, detail.roof.pitch)
        further = (step.meets - y) / run
        if step == self.turned.tucked:
            if self.turned.behind:
                return BEHIND_SOAKERS * detail.gap
            further = 0.0
        elif step == self.turned.over and not self.turned.behind:
            low = step.start - detail.sides.step_lap
            further = 1.0 if step is self.steps[0] else max(1.0, (step.meets - low) / run)
        return steps_off(detail) + detail.gap * further

    def corner_off(self, step: Step, corner: Corner) -> float:
        """How far off both faces a step's sheet stands at a corner of the stack [m]."""
        off = self.off(step, corner[1])
        for _ in range(4):
            off = self.off(step, Rim(self.scheme.plan, off).at(corner)[1])
        return off

    def low(self, number: int) -> float:
        """y [m] of a step's lower end: at the corner, or so far down over the step below as they lap."""
        step = self.steps[number]
        front = Rim(self.scheme.plan, self.corner_off(step, self.wall.front)).at(self.wall.front)
        if number == 0:
            return front[1]
        return max(step.start - self.scheme.detail.sides.step_lap, front[1] + LEAST_SEEN)


def soaked_sides(scheme: Scheme, back: Sheet) -> list[Piece]:
    """Soakers and step flashing of both sides in dressing order. back: the sheet behind the stack.

    The steps are in one piece each side where there would otherwise be more parts than an assembly
    can have. Raises PieceError where there are more even so.
    """
    chains = [chain for chain in scheme.chains.under if chain.kind is not Kind.FRONT]
    soakers = [soaker_pieces(scheme, chain) for chain in chains]
    number = sum(len(row) for row in soakers)
    steps = sum(len(steps_on(scheme, chain)) for chain in chains)
    most = MOST_PARTS - OTHER_PARTS
    rule = f"cover or stepped cover where there are more soakers than {most - len(chains)}"
    require(number + len(chains) <= most, "side way", f"{number} soakers", rule)
    found = []
    for chain, row in zip(chains, soakers, strict=True):
        first = soakers_on(scheme, wall_of(chain))[0]
        found += row
        found += step_pieces(scheme, chain, first, back, strip=number + steps > most)
    return found


def step_pieces(
    scheme: Scheme, chain: Chain, first_soaker: Soaker, back: Sheet, *, strip: bool
) -> list[Piece]:
    """The step flashing of one side, from the front up; strip: in one piece."""
    wall = wall_of(chain)
    turned = turned_steps(scheme, chain, strip=strip)
    side = _Side(scheme, wall, steps_on(scheme, chain), first_soaker, back, turned)
    _check_back(side)
    wet = (float(wall.side), 0.0, 0.0)
    if strip:
        return [piece(f"{side.name} step flashing", _strip(side), wet=wet)]
    return [
        piece(f"{side.name} step {number + 1}", _step(side, number), wet=wet)
        for number in range(len(side.steps))
    ]


def _check_back(side: _Side) -> None:
    """Raises PieceError where the sheet behind the stack would be turned in through the last step."""
    step, detail = side.steps[-1], side.scheme.detail
    over = side.back.top(*side.back.rim.at(side.wall.back))
    need = detail.gutter.upstand + step.height + detail.gap - over
    rule = f"at least {ceil(need * 1000)} mm here, to be turned in over the highest step"
    got = f"{detail.gutter.upstand * 1000:g} mm"
    require(step.height <= over - detail.gap, "gutter upstand", got, rule)


def _step(side: _Side, number: int) -> list[Named]:
    wall, step, steps = side.wall, side.steps[number], side.steps
    depth = side.scheme.detail.sides.turn_in
    first, last = number == 0, number == len(steps) - 1
    front, back = side.corner_off(step, wall.front), side.corner_off(step, wall.back)
    low = side.low(number)
    high = Rim(side.scheme.plan, back).at(wall.back)[1] if last else step.end
    shown = Step(low, high, step.height, step.meets)

    def off(y: float) -> float:
        return side.off(step, y)

    foot = side.lower.foot(wall.at(low, off(low)), wall.at(high, off(high)))
    ends = [(*wall.at(y, off(y)), step.height) for y in (high, low)]
    named: list[Named] = [("upstand", [*foot, *ends])]
    if depth > 0:
        corners = (
            _corner(side, front, step.height, upper=False) if first else None,
            _corner(side, back, step.height, upper=True) if last else _cut_back(side, number),
        )
        named += tread(wall, shown, off, depth, corners)
    if first:
        named += _front_return(side, front, step.height)
    else:
        below = steps[number - 1]
        under = (side.off(below, low), below.height)
        start: float | None = foot[0][2]
        if step == side.turned.tucked:
            start = None
        elif below == side.turned.tucked and side.turned.behind:
            start = upturn_top(side.scheme, low) + OVER_UPTURN
        named.append(riser_lip(wall, low, off(low), step.height, under, depth, foot=start))
    return named + (_back_return(side, back, step.height) if last else [])


def _cut_back(side: _Side, number: int) -> Ends | None:
    """How the turn-in of a step ends that lies over the lower end of the next one up: cut off before
    that one's sheet, and let in a little way behind it. None for any other step."""
    above, wall = side.steps[number + 1], side.wall
    if above != side.turned.tucked:
        return None
    low, step = side.low(number + 1), side.steps[number]
    stand, behind, end = side.off(above, low) - 2 * TIGHT, low + BEHIND_RISER, low - 2 * TIGHT
    depth = side.scheme.detail.sides.turn_in
    found = [wall.at(end, side.off(step, end)), wall.at(end, stand), wall.at(behind, stand)]
    return [*found, wall.at(behind, -depth)]


def _corner(side: _Side, off: float, height: float, *, upper: bool) -> Ends:
    """How the turn-in of a step ends at the stack's upper or lower corner."""
    corner = side.wall.back if upper else side.wall.front
    beside = side.back if upper else sheet_of(side.scheme, Kind.FRONT)
    sheet = _flat_sheet(side, off, height)
    made = ending(sheet, corner, beside, over=not upper)
    return corner_end(sheet, corner, made, at_end=upper == (side.wall.side > 0))


def _flat_sheet(side: _Side, off: float, height: float) -> Sheet:
    scheme, lower = side.scheme, side.lower
    deep = scheme.detail.sides.turn_in
    return Sheet(
        Rim(scheme.plan, off), lambda _: lower, lambda *_: height,
        lambda _, y: scheme.underlay_top(y), deep,
    )  # fmt: skip


def _strip(side: _Side) -> list[Named]:
    wall, steps = side.wall, side.steps
    off = sheet_of(side.scheme, Kind.LEFT if wall.side < 0 else Kind.RIGHT).rim.distance
    low, high = steps[0].height, steps[-1].height
    sheet = _flat_sheet(side, off, low)
    foot = side.lower.foot(sheet.rim.at(wall.front), sheet.rim.at(wall.back))
    ends = (_corner(side, off, low, upper=False), _corner(side, off, high, upper=True))
    named = stair(wall, steps, foot, sheet, ends)
    return named + _front_return(side, off, low) + _back_return(side, off, high)


def _front_return(side: _Side, off: float, height: float) -> list[Named]:
    """The lowest step turned round the front corner, over the apron's upstand and down on its cover."""
    scheme, wall = side.scheme, side.wall
    apron = sheet_of(scheme, Kind.FRONT)
    rim, on = Rim(scheme.plan, off), wall.side < 0
    wide = min(scheme.detail.sides.corner_return, MOST_OF_EDGE * rim.room_past(wall.front, on=on))
    if wide < LEAST_RETURN:
        return []
    a, b = rim.at(wall.front), rim.past(wall.front, wide, on=on)
    inward = rim.inward(wall.front, on=on)

    def moved(point: Corner, by: float) -> Corner:
        return (point[0] + inward[0] * by, point[1] + inward[1] * by)

    back = moved(b, off - apron.rim.distance - TIGHT)
    foot = _over_soaker(side, a, b, apron)
    below = apron.lie(b).lifted(TIGHT).foot(b, back)
    theirs = apron.top(*back)
    raised = sheet_of(scheme, Kind.LEFT if wall.side < 0 else Kind.RIGHT).top(*b)
    end = raised
    if raised < theirs - CLEAR_OF_TOP:
        end = max(min(raised, height - RETURN_DROP * wide), (foot[-1][2] + height) / 2)
    named: list[Named] = [("return", [*foot, (*b, end), (*a, height)])]
    if end < theirs - CLEAR_OF_TOP:
        named.append(("return edge", [(*b, end), (*back, end), *reversed(below)]))
        t = 0.005
        near = (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
        begin = height + (end - height) * t
        inner = moved(near, off - apron.rim.distance - TIGHT)
        named[0] = ("return", [*foot, (*b, end), (*near, begin), (*a, height)])
        named.append(("return top", [(*near, begin), (*b, end), (*back, end), (*inner, begin)]))
    else:
        edge = theirs - CLEAR_OF_TOP
        named.append(("return edge", [(*b, edge), (*back, edge), *reversed(below)]))
        start, face = theirs + CLEAR_OF_TOP, moved(b, off - BEFORE_WALL)
        named.append(("wall edge", [(*b, start), (*b, end), (*face, end), (*face, start)]))
    return named


def _over_soaker(side: _Side, a: Corner, b: Corner, apron: Sheet) -> list[Point]:
    """The foot of the front return: on the first soaker's edge, then down on the apron's cover."""
    scheme = side.scheme
    x = inner_edge(scheme, side.wall, side.first_soaker)[0] - side.wall.side * 2 * TIGHT
    share = (x - a[0]) / (b[0] - a[0])
    edge = (x, a[1] + (b[1] - a[1]) * share)
    on_soaker = first_lie(scheme, side.first_soaker).lifted(TIGHT).foot(a, edge)
    return [*on_soaker, *apron.lie(b).lifted(TIGHT).foot(edge, b)]


def _back_return(side: _Side, off: float, height: float) -> list[Named]:
    """The highest step turned round the back corner, behind the sheet there."""
    scheme, wall = side.scheme, side.wall
    rim, on = Rim(scheme.plan, off), wall.side > 0
    wide = min(scheme.detail.sides.corner_return, MOST_OF_EDGE * rim.room_past(wall.back, on=on))
    if wide < LEAST_RETURN:
        return []
    sheet = _flat_sheet(side, off, height)
    points = (wall.front, wall.back) if on else (wall.back, wall.front)
    return return_under(sheet, points, side.back, wide, on=on)
