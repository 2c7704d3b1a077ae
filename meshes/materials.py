"""Sheet materials: thickness, mass, how far they can be stretched, how long a piece may be.

Thicknesses of zinc, copper and aluminium lie at or within those that NHBC Standards 7.2, Table 22 (seen)
asks of flashings; masses are thickness times density (derived). How far a sheet may be stretched by
hand is nowhere laid down: those figures are careful ones, and `source` says what each rests on.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf

from meshes.errors import require

LAP = (
    0.100  # [m] the least by which parts of one piece lap: guidance on lead flashings, second-hand
)


@dataclass(frozen=True, slots=True)
class Material:
    """A sheet. thickness [m]; mass [kg/m2]; stretch: share by which its area may grow when it is dressed
    or bossed, 0 to 1; longest: length of one piece [m]; source: of each figure, and how it is known."""

    name: str
    thickness: float
    mass: float
    stretch: float
    longest: float
    source: str

    def __post_init__(self) -> None:
        require(bool(self.name.strip()), "material name", repr(self.name), "given")
        thick, long = f"{self.thickness * 1000:g} mm", f"{self.longest * 1000:g} mm"
        require(0.0001 <= self.thickness <= 0.01, "thickness", thick, "0.1 to 10 mm")
        require(0.1 <= self.mass <= 100, "mass", f"{self.mass:g} kg/m2", "0.1 to 100 kg/m2")
        require(0 <= self.stretch <= 1, "stretch", f"{self.stretch:g}", "0 to 1")
        require(0.2 <= self.longest <= 20, "longest piece", long, "200 to 20000 mm")
        require(bool(self.source.strip()), "material source", repr(self.source), "given")


_LEAD = (
    "thickness and mass: EN 12588's sheet by code, second-hand (several trade tables agree, and mass"
    " is 11340 kg/m3 times thickness); "
)
_BOSSED = (
    "stretch: half the elongation at break of 0.5 in a textbook on materials (second-hand), which"
    " leaves four fifths of the thickness: practice; "
)
_LEAD_LENGTH = "longest: lead aprons, covers and soakers to 1.5 m, NHBC 7.2 Table 22, seen"

_ALL = (
    Material(
        "lead code 3",
        thickness=0.00132,
        mass=14.97,
        stretch=0.10,
        longest=1.0,
        source=_LEAD
        + "stretch: dressed, not bossed, since code 4 is the thinnest for that (trade page, second-hand),"
        " the figure practice; longest: memory (NHBC 7.2 allows soakers 1.5 m, seen)",
    ),
    Material("lead code 4", 0.00180, 20.41, 0.25, 1.5, _LEAD + _BOSSED + _LEAD_LENGTH),
    Material("lead code 5", 0.00224, 25.40, 0.25, 1.5, _LEAD + _BOSSED + _LEAD_LENGTH),
    Material("lead code 6", 0.00265, 30.05, 0.25, 1.5, _LEAD + _BOSSED + _LEAD_LENGTH),
    Material(
        "zinc",
        thickness=0.0008,
        mass=5.71,
        stretch=0.0,
        longest=3.0,
        source="thickness: 0.8 mm at least, NHBC 7.2 Table 22, seen; mass: derived from 7140 kg/m3;"
        " stretch: folded and soldered, not stretched, practice; longest: EN 988's longer preferred"
        " sheet, second-hand",
    ),
    Material(
        "copper",
        thickness=0.00055,
        mass=4.92,
        stretch=0.05,
        longest=1.8,
        source="thickness: 0.55 mm, fully annealed, NHBC 7.2 Table 22, seen; mass: derived from 8940"
        " kg/m3; stretch: little, since it hardens as it is worked, practice; longest: memory",
    ),
    Material(
        "aluminium",
        thickness=0.0008,
        mass=2.16,
        stretch=0.05,
        longest=3.0,
        source="thickness: within 0.7 to 0.9 mm, NHBC 7.2 Table 22, seen; mass: derived from 2700 kg/m3;"
        " stretch: soft sheet can be worked by hand (a New Zealand metal-roof code, seen), the figure"
        " practice; longest: practice",
    ),
    Material(
        "self-adhesive",
        thickness=0.002,
        mass=2.6,
        stretch=0.60,
        longest=5.0,
        source="stretchable sheet with a sticky back: thickness, mass and stretch: memory, unsure;"
        " longest: practice",
    ),
)

MATERIALS: dict[str, Material] = {material.name: material for material in _ALL}


def check_piece(
    material: Material, longest_side: float, stretch: float, name: str, *, joined: str = ""
) -> tuple[str, ...]:
    """What a material can't give a piece, one plain line each; nothing when it can be made so.

    longest_side: of the blank, above 0 [m]; stretch: share that the piece asks for, 0 or more; name: of
    the piece; joined: how the parts are joined that it is cut in, `welded`, "" where it is in one. Parts of a
    piece that is divided lap by 100 mm at least. Raises PieceError.
    """
    length = f"{longest_side * 1000:g} mm"
    require(0 < longest_side < inf, f"longest side of {name}", length, "above 0 mm")
    require(0 <= stretch < inf, f"stretch of {name}", f"{stretch:g}", "0 or more")
    remarks = []
    if longest_side > material.longest + 1e-9:
        parts = ceil((longest_side - LAP) / (material.longest - LAP) - 1e-9)
        long, instead = "long", f"divide it into at least {parts} parts that lap"
        if joined:
            long = f"long once its parts are {joined}"
            instead = f"let at least {parts} parts lap instead"
        remarks.append(
            f"{name} is {longest_side * 1000:.0f} mm {long}, a piece of {material.name} at most "
            f"{material.longest * 1000:.0f} mm: {instead}"
        )
    if stretch > material.stretch + 1e-9:
        gives = f"only {100 * material.stretch:.0f} %" if material.stretch > 0 else "none"
        remarks.append(
            f"{name} must be stretched by {100 * stretch:.0f} %, {material.name} gives {gives}: "
            "slit and patch it there"
        )
    return tuple(remarks)
