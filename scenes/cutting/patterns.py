"""From a detail's folded pieces to the patterns that they are cut from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from meshes.materials import LAP, MATERIALS
from meshes.piece import Piece
from meshes.rules import lap_for_rise
from meshes.spec import Detail
from scenes.cutting.alike import once_each
from scenes.cutting.before_dressing import STRAIGHT, before_dressing
from scenes.cutting.divide import divided
from scenes.cutting.folds import folds_of
from scenes.cutting.lay_flat import Flat, Joint, lay_flat
from scenes.cutting.pattern import Pattern, Worked
from scenes.cutting.placed import placed
from scenes.cutting.seams import Seam, how_joined, is_cut, seams_of

TOLD = 5e-7  # [m2] less than half a square millimetre is not worth a word

Laid = tuple[Piece, tuple[Flat, ...], tuple[Joint, ...]]


def patterns_of(detail: Detail, made_so: Mapping[str, Piece]) -> tuple[Pattern, ...]:
    """The patterns of a detail's pieces in dressing order, those alike once.

    made_so: the pieces as `meshes.build.pieces` has them. One whose cover is dressed over the courses is
    laid flat as it is before that: straight. Blanks longer than the material allows are divided, their
    lengths lapped as the pitch asks up the slope, by `materials.LAP` across it. Raises PieceError.
    """
    found: list[Pattern] = []
    longest = MATERIALS[detail.material].longest
    before = before_dressing(detail, made_so)
    for key, made in made_so.items():
        laid = (made, *lay_flat(made.facets))
        straight = before.get(key)
        dressed = False
        if straight is not None:
            other = (straight, *lay_flat(straight.facets))
            dressed = made.stretch > 0 or len(other[2]) < len(laid[2])
            laid = other if dressed else laid
        for one in _patterns(detail, laid, made.stretch, dressed=dressed):
            found += divided(one, longest, LAP, lap_for_rise(detail.roof.pitch))
    return once_each(found)


def _patterns(detail: Detail, laid: Laid, stretch: float, *, dressed: bool) -> list[Pattern]:
    made, flats, joints = laid
    slope = _slope(detail, made)
    seams = seams_of(flats, joints)
    whole = [placed(flat, made.facets, slope) for flat in flats]
    cut = [at for at, one in enumerate(whole) if is_cut(one.flat)]
    names = {
        at: made.name if len(cut) == 1 else f"{made.name}, part {cut.index(at) + 1} of {len(cut)}"
        for at in cut
    }
    notes = [STRAIGHT] if dressed else []
    if len(cut) > 1:
        notes.append(f"no flat sheet has {made.name} in one: its parts are {how_joined(detail)}")
    narrow = sum(one.flat.area for at, one in enumerate(whole) if at not in cut)
    if narrow > TOLD:
        notes.append(
            f"{narrow * 1e6:.0f} mm2 of {made.name} are edges too narrow to cut by themselves: they are"
            " dressed out of what is beside them"
        )
    found = []
    for at in cut:
        flat = whole[at].flat
        own = dict(zip(flat.facets, flat.names, strict=True))
        found.append(
            Pattern(
                name=names[at],
                piece=made.name,
                hand=_hand(made.name),
                outlines=flat.outlines,
                folds=folds_of(flat.bends, own, flat.outlines, whole[at].size),
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
                stretch=stretch if dressed or made.stretch > 0 else 0.0,
                folded=made.facets,
                facets=flat.facets,
                alike=(names[at],),
                notes=(*notes, *_trimmed(flat)),
            )
        )
    return found


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
