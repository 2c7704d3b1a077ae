"""From a detail's folded pieces to the patterns that they are cut from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from meshes.materials import LAP, MATERIALS
from meshes.piece import Piece
from meshes.rules import lap_for_rise
from meshes.sheet import normal_of
from meshes.spec import Detail
from scenes.cutting.alike import once_each
from scenes.cutting.before_dressing import STRAIGHT
from scenes.cutting.divide import divided
from scenes.cutting.folds import folds_of
from scenes.cutting.lay_flat import Flat, Joint, lay_flat, signed_area
from scenes.cutting.over_crests import OVER_CRESTS, over_crests
from scenes.cutting.pattern import Pattern, Worked
from scenes.cutting.placed import placed
from scenes.cutting.runs import in_runs
from scenes.cutting.seams import Seam, how_joined, is_cut, seams_of

NARROW = "are edges too narrow to cut by themselves: they are dressed out of what is beside them"
LYING = 0.5  # [1] of a facet's normal, upwards: it lies on the roof
SHARE = 0.2  # [1] of what of a piece lies on the roof, that a part has of it to be dressed there
TOLD = 1e-5  # [m2] less, 3 by 3 mm, is not worth a word

Laid = tuple[Piece, tuple[Flat, ...], tuple[Joint, ...]]


def patterns_of(
    detail: Detail, made_so: Mapping[str, Piece], before: Mapping[str, Piece]
) -> tuple[Pattern, ...]:
    """The patterns of a detail's pieces in dressing order, those alike once.

    made_so: the pieces as `meshes.build.pieces` has them; before: as they are before they are dressed, by
    the same keys. One whose cover is dressed over the courses is laid flat straight; one dressed into
    waves, over their crests. Blanks longer than the material allows are divided, their lengths lapped as
    the pitch asks up the slope, by `materials.LAP` across it. Raises PieceError.
    """
    found: list[Pattern] = []
    longest = MATERIALS[detail.material].longest
    for key, made in made_so.items():
        laid, notes = _laid(made, before.get(key), MATERIALS[detail.material].stretch)
        for one in _patterns(detail, laid, made.stretch, notes):
            found += divided(one, longest, LAP, lap_for_rise(detail.roof.pitch))
    return once_each(found)


def _laid(made: Piece, straight: Piece | None, gives: float) -> tuple[Laid, list[str]]:
    """What a piece is cut from, and a note where that is dressed once it is fitted.

    Straight where dressing stretches it, or where that spares joints; over the crests of a profiled
    covering where its material gives so much. gives: share by which it may be stretched.
    """
    crests = over_crests((straight or made).facets)
    if crests is not None and crests[1] <= gives:
        over = replace(made, facets=crests[0])
        return (over, *lay_flat(over.facets)), [OVER_CRESTS.format(100 * crests[1])]
    if straight is not None and made.stretch > 0:
        return (straight, *lay_flat(straight.facets)), [STRAIGHT]
    laid = (made, *lay_flat(made.facets))
    if straight is None:
        return laid, []
    other = (straight, *lay_flat(straight.facets))
    return (other, [STRAIGHT]) if len(other[2]) < len(laid[2]) else (laid, [])


def _patterns(detail: Detail, laid: Laid, stretch: float, dressed: list[str]) -> list[Pattern]:
    """The patterns of one piece. stretch: share that dressing lengthens its foot by; dressed: what is said of
    the parts that are dressed once they are fitted."""
    made, flats, joints = laid
    slope = _slope(detail, made)
    seams = seams_of(flats, joints)
    whole = [placed(flat, made.facets, slope) for flat in flats]
    cut = [at for at, one in enumerate(whole) if is_cut(one.flat)]
    names = {
        at: made.name if len(cut) == 1 else f"{made.name}, part {cut.index(at) + 1} of {len(cut)}"
        for at in cut
    }
    covers = _covers(made, [whole[at].flat for at in cut]) if dressed else [True] * len(cut)
    notes = []
    if len(cut) > 1:
        notes.append(f"no flat sheet has {made.name} in one: its parts are {how_joined(detail)}")
    narrow = sum(one.flat.area for at, one in enumerate(whole) if at not in cut)
    slivers = [f"{narrow * 1e6:.0f} mm2 of {made.name} {NARROW}"] if narrow > TOLD else []
    found = []
    for at, lies in zip(cut, covers, strict=True):
        flat = whole[at].flat
        own = dict(zip(flat.facets, flat.names, strict=True))
        found.append(
            Pattern(
                name=names[at],
                piece=made.name,
                hand=_hand(made.name),
                outlines=flat.outlines,
                folds=in_runs(folds_of(flat.bends, own, flat.outlines, whole[at].size)),
                worked=tuple(
                    Worked(
                        seam.number,
                        seam.lines(at, flat),
                        seam.length,
                        _meets(seam, at, names, seams),
                        how_joined(detail),
                    )
                    for seam in seams
                    if at in seam.sheets
                ),
                laps=(),
                size=whole[at].size,
                up=whole[at].up,
                area=flat.area - flat.trimmed,
                stretch=stretch if lies else 0.0,
                folded=made.facets,
                facets=flat.facets,
                alike=(names[at],),
                notes=(
                    *(dressed if lies else ()),
                    *notes,
                    *(slivers if at == cut[0] else ()),
                    *_trimmed(flat),
                ),
            )
        )
    return found


def _covers(made: Piece, flats: Sequence[Flat]) -> list[bool]:
    """Of flat sheets of a piece, which lie on the roof once they are folded."""
    points, polygons = made.facets.points, made.facets.polygons
    areas = [
        sum(
            abs(signed_area(panel))
            for facet, panel in zip(flat.facets, flat.panels, strict=True)
            if abs(normal_of(points[list(polygons[facet])])[2]) > LYING
        )
        for flat in flats
    ]
    return [area > SHARE * sum(areas) for area in areas]


def _trimmed(flat: Flat) -> list[str]:
    """What is left out of a flat sheet, for two of its panels would both need it."""
    if flat.trimmed < TOLD:
        return []
    return [f"{flat.trimmed * 1e6:.0f} mm2 that two of its panels would both need are left out"]


def _meets(seam: Seam, at: int, names: dict[int, str], seams: Sequence[Seam]) -> str:
    """What a seam joins a part to; past an edge that is only dressed over, what that is joined to."""
    first, second = seam.sheets
    if first == second:
        return "itself"
    other = second if at == first else first
    if other in names:
        return names[other]
    beyond = {one for seam in seams if other in seam.sheets for one in seam.sheets} - {at}
    found = [names[one] for one in sorted(beyond) if one in names]
    return " and ".join(found)


def _slope(detail: Detail, made: Piece) -> NDArray[np.float64]:
    """Up the slope that a piece lies on: (3,), which beyond a ridge is the other way."""
    ridge = detail.roof.ridge
    away = ridge is not None and float(made.facets.points[:, 1].mean()) > ridge
    pitch = detail.roof.pitch
    return np.array([0.0, -cos(pitch) if away else cos(pitch), sin(pitch)])


def _hand(name: str) -> str:
    words = name.split()
    return next((hand for hand in ("left", "right") if hand in words), "none")
