"""Faults of made pieces: cut, torn, lifted, pierced, or left out."""

from __future__ import annotations

from collections.abc import Callable
from math import cos

import numpy as np

from meshes.around.worth_saying import longest_side
from meshes.build import pieces
from meshes.materials import MATERIALS
from meshes.parts import Assembly, Part, Role
from meshes.spec import Detail
from scenes.faults.cutting import between, cut_away, kept_faces, plane, split
from scenes.faults.fault import (
    ALL_ROUND,
    CORNERS,
    FRONT_CORNERS,
    SIDES,
    Fault,
    NotHere,
    OnParts,
    PartChange,
)
from scenes.faults.finding import (
    SHEETS,
    Bench,
    bench_of,
    bend_of,
    corner_of,
    normals_of,
    sheet_at,
    with_part,
    without_part,
)

FREE_STRIP = 0.040
"""How much of a cover's breadth is lifted with its free edge [m]: practice, no source."""
LIFT_LONG = 0.200
"""Length of a lifted edge, half of it at full height [m]: no source."""
LEAST_BARE = 0.020
"""A shorter stretch of edge isn't lifted [m]."""
SPLIT_LONG = 0.080
"""Length of a split in a bend [m], where the bend is longer: no source."""
MOST_OF_BEND = 0.8
"""Share of a short bend that a split takes [1]."""
UPTURN_WITHIN = 0.02
"""The underlay's upturns stand within so far of the stack [m]."""
HOLE_AT = 0.4
"""A nail's hole lies so far out on the cover from its bend, as a share of the cover's breadth [1]."""


def _whole(part: Part | None, name: str) -> Part:
    if part is None:
        raise NotHere(f"has too small a {name}: nothing would be left of it")
    return part


def _changed(assembly: Assembly, was: Part, now: Part | None) -> Assembly:
    now = _whole(now, was.name)
    if now is was:
        raise NotHere(f"has nothing of its {was.name} there")
    return with_part(assembly, now)


def _stopped_short(assembly: Assembly, detail: Detail, place: str, amount: float) -> Assembly:
    part = sheet_at(assembly, place)
    low = float(part.vertices[:, 1].min()) + amount * cos(detail.roof.pitch)
    return _changed(assembly, part, cut_away(part, [plane((0, low, 0), (0, 1, 0))]))


def _off_the_ridge(bench: Bench, place: str) -> float:
    """The middle of a side; behind the stack a quarter beside it, where no saddle has its ridge."""
    return bench.middle + ((bench.end - bench.start) / 4 if place == "back" else 0.0)


def _split_in_bend(assembly: Assembly, detail: Detail, place: str, amount: float) -> Assembly:
    part, bench = sheet_at(assembly, place), bench_of(detail, place)
    bend = bend_of(part, bench)
    half = min(SPLIT_LONG, MOST_OF_BEND * (bench.end - bench.start)) / 2
    at = _off_the_ridge(bench, place)
    slit = between(bench.along, at - half, at + half)
    slit += between(bench.out, bend, bend + amount)
    return _changed(assembly, part, cut_away(part, slit))


def _torn(assembly: Assembly, detail: Detail, place: str, amount: float) -> Assembly:
    part, bench = sheet_at(assembly, place), bench_of(detail, place)
    made = next(one for one in pieces(detail).values() if one.name == part.name)
    material, long = MATERIALS[detail.material], longest_side(made)
    if long <= material.longest:
        told = (
            f"{long * 1000:.0f} mm long, and {material.name} comes in pieces of up to "
            f"{material.longest * 1000:.0f} mm"
        )
        raise NotHere(f"has a {part.name} that is {told}")
    at = _off_the_ridge(bench, place)
    tear = between(bench.along, at - amount / 2, at + amount / 2)
    return _changed(assembly, part, cut_away(part, tear))


def _lifted(assembly: Assembly, detail: Detail, place: str, amount: float) -> Assembly:
    """The free edge bent up in the middle of what nothing lies over: nil at its inner edge and its ends."""
    part, bench = sheet_at(assembly, place), bench_of(detail, place)
    lying = normals_of(part)[:, 2] > 0.2
    cover = part.vertices[np.unique(part.faces[lying])]
    out, along = cover @ bench.out, cover @ bench.along
    strip = FREE_STRIP * (cos(detail.roof.pitch) if place == "front" else 1.0)
    edge = float(out.max())
    low, high = max(bench.start, float(along.min())), min(bench.end, float(along.max()))
    low, high = _bare(assembly, bench, place, low, high)
    half = min(LIFT_LONG, MOST_OF_BEND * (high - low)) / 2
    middle = (low + high) / 2
    marks = [middle - half, middle - half / 2, middle + half / 2, middle + half]
    cuts = [(bench.out * (edge - strip), bench.out)]
    cuts += [(bench.along * mark, bench.along) for mark in marks]
    parted = split(part, cuts)
    points = np.array(parted.vertices)
    outward = np.clip((points @ bench.out - (edge - strip)) / strip, 0, 1)
    inward = np.interp(points @ bench.along, marks, [0.0, 1.0, 1.0, 0.0])
    points[:, 2] += amount * outward * inward
    return with_part(assembly, Part(part.name, part.role, points, parted.faces))


def _bare(
    assembly: Assembly, bench: Bench, place: str, low: float, high: float
) -> tuple[float, float]:
    """What is left of a stretch along a side below the sheet that lies over its upper end."""
    for part in assembly:
        if place in SIDES and part.name in SHEETS["back"]:
            points = part.vertices[part.vertices @ bench.out > bench.off]
            over = points @ bench.along
            if bench.along[1] > 0:
                high = min(high, float(over.min()))
            else:
                low = max(low, float(over.max()))
    if high - low < LEAST_BARE:
        raise NotHere(f"has too little of its {place} cover's edge bare to be lifted")
    return low, high


def _pierced(assembly: Assembly, detail: Detail, place: str, amount: float) -> Assembly:
    part, bench = sheet_at(assembly, place), bench_of(detail, place)
    bend = bend_of(part, bench)
    lying = normals_of(part)[:, 2] > 0.2
    edge = float((part.vertices[np.unique(part.faces[lying])] @ bench.out).max())
    out = bend + HOLE_AT * (edge - bend)
    at = _off_the_ridge(bench, place)
    hole = between(bench.along, at - amount / 2, at + amount / 2)
    hole += between(bench.out, out - amount / 2, out + amount / 2)
    return _changed(assembly, part, cut_away(part, hole))


def _underlays(assembly: Assembly) -> list[Part]:
    return [part for part in assembly if part.role is Role.UNDERLAY]


def _not_turned_up(assembly: Assembly, detail: Detail, place: str, amount: float) -> Assembly:
    """Upright faces of the underlay beside the stack's edges that look to this side, taken away."""
    found = assembly
    for part in _underlays(assembly):
        middles, normals = part.vertices[part.faces].mean(axis=1), normals_of(part)
        gone = np.zeros(len(middles), dtype=bool)
        for edge in detail.stack.outline().edges:
            if edge.kind.value != place:
                continue
            out = np.array([*edge.normal, 0.0])
            start, along = np.array([*edge.start, 0.0]), np.array([*edge.along, 0.0])
            away = (middles - start) @ out
            on = (middles - start) @ along
            near = (np.abs(away) < UPTURN_WITHIN) & (on > 0) & (on < edge.length)
            gone |= near & (np.abs(normals @ out) > 0.9)
        if gone.any():
            found = with_part(found, _whole(kept_faces(part, ~gone), part.name))
    if found is assembly:
        raise NotHere(f"has no upturn of the underlay at the {place}")
    return found


def _cut_at_corner(assembly: Assembly, detail: Detail, place: str, amount: float) -> Assembly:
    x, y = corner_of(detail, place)
    across, up = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    square = between(across, x - amount, x + amount) + between(up, y - amount, y + amount)
    for part in _underlays(assembly):
        now = cut_away(part, square)
        if now is not part:
            return with_part(assembly, _whole(now, part.name))
    raise NotHere(f"has no underlay at its {place} corner")


def _left_out(find: Callable[[Assembly, Detail, str], str]) -> PartChange:
    return lambda assembly, detail, place, _: without_part(assembly, find(assembly, detail, place))


def _patch(assembly: Assembly, detail: Detail, place: str) -> str:
    patches = [part for part in assembly if part.name.startswith("corner patch")]
    if not patches:
        raise NotHere(f'has corners of the kind "{detail.joint}", without patches')
    corner = np.array(corner_of(detail, place))

    def away(part: Part) -> float:
        return float(np.linalg.norm(part.vertices[:, :2] - corner, axis=1).min())

    nearest = min(patches, key=away)
    if away(nearest) > UPTURN_WITHIN:
        raise NotHere(f"has no patch at its {place} corner")
    return nearest.name


def _fillet(assembly: Assembly, detail: Detail, place: str) -> str:
    if not any(part.name == "tilt fillet" for part in assembly):
        raise NotHere("has no tilt fillet")
    return "tilt fillet"


def _middle_of(word: str) -> Callable[[Assembly, Detail, str], str]:
    def find(assembly: Assembly, detail: Detail, place: str) -> str:
        begins = f"{place} {word} "
        names = [part.name for part in assembly if part.name.removeprefix(begins).isdigit()]
        if not names:
            raise NotHere(f"has no separate {word}s at its {place}")
        return names[len(names) // 2]

    return find


PARTS: tuple[Fault, ...] = (
    OnParts(
        name="side stopped short",
        done_wrong="The side flashing was cut off above the apron's lower edge.",
        found="sometimes",
        look="See whether the side flashing runs down to the apron's lower edge on that side, or stops"
        " above it.",
        bad="{} mm short of the apron's lower edge",
        places=SIDES,
        unit="mm",
        usual=80,
        least=10,
        most=140,
        change=_stopped_short,
    ),
    OnParts(
        name="split in a bend",
        done_wrong="The sheet was bent too sharply, or too often, and has split along the fold.",
        found="often",
        look="Run a fingernail along the bend at the foot of the upstand on that side: it catches in a"
        " split.",
        bad="a split {} mm wide",
        places=ALL_ROUND,
        unit="mm",
        usual=2,
        least=1,
        most=3,
        change=_split_in_bend,
    ),
    OnParts(
        name="torn by heat",
        done_wrong="Too long a piece was fixed at both ends: it couldn't move with the heat, and tore.",
        found="often",
        look="Look on that side for a crack right across the sheet, from its top edge in the wall to its"
        " free edge.",
        bad="a tear {} mm wide right through",
        places=ALL_ROUND,
        unit="mm",
        usual=2,
        least=1,
        most=3,
        change=_torn,
    ),
    OnParts(
        name="lifted edge",
        done_wrong="The cover's free edge was not held down by clips, and the wind has lifted it.",
        found="often",
        look="Look along the sheet's free edge on that side: where it has lifted it stands up off the"
        " tiles in a bow.",
        bad="lifted by {} mm, over 200 mm where there is room",
        places=("front", *SIDES),
        unit="mm",
        usual=15,
        least=2,
        most=60,
        change=_lifted,
    ),
    OnParts(
        name="nail through the cover",
        done_wrong="Somebody nailed the sheet down through its cover; the nail has gone, the hole stays.",
        found="sometimes",
        look="Look for a nail hole in the flat of the sheet on that side, away from its bends.",
        bad="a hole {} mm wide",
        places=ALL_ROUND,
        unit="mm",
        usual=5,
        least=2,
        most=20,
        change=_pierced,
    ),
    OnParts(
        name="underlay not turned up",
        done_wrong="The underlay was cut off flat at the stack.",
        found="often",
        look="Look from the loft where the underlay meets the stack on that side: it should turn up the"
        " wall, not end flat.",
        bad="upturn missing",
        places=ALL_ROUND,
        change=_not_turned_up,
    ),
    OnParts(
        name="underlay cut at the corner",
        done_wrong="The underlay was slit at the stack's corner to turn it up, and never closed.",
        found="sometimes",
        look="Look from the loft at that corner of the stack for an open slit in the underlay.",
        bad="a hole that reaches {} mm from the corner",
        places=CORNERS,
        unit="mm",
        usual=30,
        least=5,
        most=150,
        change=_cut_at_corner,
    ),
    OnParts(
        name="slit corner without patch",
        done_wrong="The sheets were slit at the corner to get them round, and no patch was put over it.",
        found="sometimes",
        look="See whether a patch lies over the slit sheets at that corner, or the slit is open to the"
        " sky.",
        bad="patch missing",
        places=FRONT_CORNERS,
        change=_left_out(_patch),
    ),
    OnParts(
        name="tilt fillet left out",
        done_wrong="No timber was laid under the gutter's upper edge to carry it.",
        found="seldom",
        look="Press on the sheet under the first course behind the stack: with no timber beneath its upper"
        " edge it gives.",
        bad="tilt fillet missing",
        change=_left_out(_fillet),
    ),
    OnParts(
        name="soaker left out",
        done_wrong="A course was laid without its soaker.",
        found="seldom",
        look="Lift the tiles beside the stack on that side one by one: each course should have its own"
        " soaker.",
        bad="one soaker missing, in the middle",
        places=SIDES,
        change=_left_out(_middle_of("soaker")),
    ),
    OnParts(
        name="step left out",
        done_wrong="A step has come out of its chase and was not put back.",
        found="often",
        look="Look up that side of the stack for a gap among the steps and an empty chase above it.",
        bad="one step missing, in the middle",
        places=SIDES,
        change=_left_out(_middle_of("step")),
    ),
)
"""What is wrong with single pieces."""
