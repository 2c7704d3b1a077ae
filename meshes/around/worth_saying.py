"""What a user should read about the pieces: what the material can't give, covers cut short, corners."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import groupby
from math import atan, cos, degrees, radians
from re import fullmatch
from types import MappingProxyType

import numpy as np
import shapely

from meshes.around.reach import OFF_EDGE, wished
from meshes.around.scheme import layers_of, scheme_of
from meshes.materials import MATERIALS, check_piece
from meshes.piece import Piece
from meshes.plan import Plan
from meshes.rules import valley_fall
from meshes.sheet import Facets
from meshes.spec import Detail
from meshes.surplus import corner_surplus

TELL_OVER = radians(5)  # [rad] a smaller surplus is dressed away unseen
AT_CORNER = 0.012  # [m] what lies so near to a corner of the stack, in plan, is worked in one
CUT_SHORT = 0.001  # [m] a cover that is shorter by less is as wide as asked for


def worth_saying(
    detail: Detail, pieces: Iterable[Piece], *, lapping: Collection[str] = (),
    joined: Mapping[str, str] = MappingProxyType({}),
) -> tuple[str, ...]:  # fmt: skip
    """One plain line for each thing that whoever makes these pieces should know; like pieces in one.

    lapping: names of pieces that are cut in lengths that lap already; joined: how the parts of those are
    joined that are cut in several, by the piece's name. Of the others nobody has said yet how they are cut.
    First what their material can't give (`materials.check_piece`), then covers that a verge or the
    eaves cut short, a saddle's height and fall, then where at the stack's corners no flat sheet goes round.
    """
    groups = _alike(pieces)
    found = [line for group in groups for line in _asks(detail, group, lapping, joined)]
    found += _cut_short(detail)
    found += _saddle(detail)
    plan = detail.stack.outline()
    soft = MATERIALS[detail.material].stretch > 0
    found += [line for group in groups for line in _worked(plan, group, soft=soft)]
    return tuple(found)


def longest_side(made: Piece) -> float:
    """Longer side [m] of the smallest rectangle that a piece's blank is cut from."""
    points = np.vstack(made.blank().panels)
    box = shapely.minimum_rotated_rectangle(shapely.MultiPoint(points))
    corners = shapely.get_coordinates(box)
    return float(np.linalg.norm(np.diff(corners[:3], axis=0), axis=1).max())


def _alike(pieces: Iterable[Piece]) -> list[list[Piece]]:
    """Pieces that differ by their side or their number only, together."""
    rows = sorted(enumerate(pieces), key=lambda row: (_base(row[1].name), row[0]))
    groups = [list(group) for _, group in groupby(rows, key=lambda row: _base(row[1].name))]
    groups.sort(key=lambda group: group[0][0])
    return [[made for _, made in group] for group in groups]


def _base(name: str) -> str:
    match = fullmatch(r"(?:rear )?(?:left |right )?(.*?)(?: \d+)?", name)
    assert match is not None
    return match[1]


def _called(some: Sequence[Piece]) -> str:
    """What pieces that are alike are called together."""
    names = [made.name for made in some]
    if len(names) == 1:
        return names[0]
    base = _base(names[0])
    rest = [name.replace(base, "").strip() for name in names]
    if len(names) == 2 and all(rest):
        return f"{base} ({rest[0]} and {rest[1]})"
    return f"{base} ({len(names)} of them)"


def _asks(
    detail: Detail, group: Sequence[Piece], lapping: Collection[str], joined: Mapping[str, str]
) -> list[str]:
    """What the material can't give these pieces: the length and the stretch that most is asked of."""
    material = MATERIALS[detail.material]
    sides = {made.name: longest_side(made) for made in group}
    long = [
        made
        for made in group
        if sides[made.name] > material.longest + 1e-9 and made.name not in lapping
    ]
    stretched = [made for made in group if made.stretch > material.stretch + 1e-9]
    found: list[str] = []
    if long:
        most = max(sides[made.name] for made in long)
        how = joined.get(long[0].name, "")
        found += check_piece(material, most, 0.0, _called(long), joined=how)
    if stretched:
        share = max(made.stretch for made in stretched)
        found += check_piece(material, material.longest, share, _called(stretched))
    return found


def _cut_short(detail: Detail) -> list[str]:
    """Covers that are narrower than asked for, because the roof ends there."""
    roof, cover = detail.roof, detail.sides.cover
    left = roof.beside if roof.left is None else roof.left
    right = roof.beside if roof.right is None else roof.right
    past = roof.wave_pitch if roof.covering == "profiled" else 0.0
    roomy = min(left, right) > cover + past + 0.05
    if roomy and max(cover, detail.apron.cover) + 0.05 < roof.below / cos(roof.pitch) / 2:
        return []
    scheme = scheme_of(detail)
    x0, y0, x1, _ = wished(scheme).bounds
    found = []
    for side, name, outer, edge in (
        (-1, "left", x0, scheme.x_span[0] + OFF_EDGE),
        (1, "right", x1, scheme.x_span[1] - OFF_EDGE),
    ):
        wall = scheme.plan.left if side < 0 else scheme.plan.right
        stand = scheme.stand_off(layers_of(scheme.layers, side))
        asked, got = (side * (x - wall) - stand for x in (outer, edge))
        if got < asked - CUT_SHORT:
            wide = f"{got * 1000:.0f} mm wide" if got > CUT_SHORT else "left out"
            found.append(
                f"the {name} cover is {wide} instead of {asked * 1000:.0f} mm: the verge is there"
            )
    short = (scheme.y_span[0] + OFF_EDGE - y0) / cos(roof.pitch)
    if short > CUT_SHORT:
        found.append(
            f"the cover below the stack is cut {short * 1000:.0f} mm short: the eaves are there"
        )
    return found


def _saddle(detail: Detail) -> list[str]:
    """How high a saddle stands at the stack, and how its valleys fall."""
    if detail.gutter.behind == "gutter":
        return []
    back = scheme_of(detail).back
    if back is None or back.saddle == 0:
        return []
    told = f"the saddle stands {back.saddle * 1000:.0f} mm over the roof at the stack"
    if detail.gutter.saddle_height is None:
        fall = degrees(atan(valley_fall(detail.roof.pitch)))
        told += f"; its valleys run at 45 degrees in plan and fall at {fall:.1f} degrees"
    return [told]


def _worked(plan: Plan, group: Sequence[Piece], *, soft: bool) -> list[str]:
    """Corners of the stack that no flat sheet goes round, of these pieces; soft: of what can be bossed."""
    net = [_at_corners(plan, made.facets) for made in group]
    short = [[-value for value in one if value < -TELL_OVER] for one in net]
    over = [[value for value in one if value > TELL_OVER] for one in net]
    found = []
    for rows, what, cure in (
        (
            short,
            "lacks sheet",
            "weld it, patch it or boss it" if soft else "solder, weld or patch it",
        ),
        (over, "has sheet to spare", "pleat it"),
    ):
        some = [made for made, row in zip(group, rows, strict=True) if row]
        if some:
            most = degrees(max(map(max, filter(None, rows))))
            where = _count([row for row in rows if row])
            told = f"{_called(some)} {what} at {where}, {most:.0f} degrees at most"
            found.append(f"{told}: {cure} there")
    return found


def _at_corners(plan: Plan, sheet: Facets) -> list[float]:
    """Surplus [rad] of a sheet at each of the plan's corners, summed over what lies close by."""
    corners = np.array(plan.corners)
    total = np.zeros(len(corners))
    for point, value in corner_surplus(sheet).items():
        away = np.linalg.norm(corners - sheet.points[point, :2], axis=1)
        if away.min() < AT_CORNER:
            total[away.argmin()] += value
    return total.tolist()


def _count(rows: Sequence[Sequence[float]]) -> str:
    counts = sorted(len(row) for row in rows)
    number = str(counts[-1]) if counts[0] == counts[-1] else f"up to {counts[-1]}"
    corners = "corner" if counts[-1] == 1 else "corners"
    return f"{number} {corners} of the stack{' each' if len(rows) > 1 else ''}"
