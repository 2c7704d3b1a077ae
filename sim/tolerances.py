"""Every tolerance and nudge of the tracer, in one table, each with its unit and its reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Tolerance:
    """One number that stands between exact geometry and double precision."""

    value: float
    unit: str
    reason: str


STANDOFF: Final = 2e-4
CLOSED: Final = 1.5e-4
NUDGE: Final = 1e-6
LEVEL: Final = 1e-4
PARALLEL: Final = 1e-9
FLAT: Final = 1e-6
SNAP: Final = 1e-9
TIE: Final = 1e-9
WIDEN: Final = 1e-12
DEGENERATE: Final = 1e-9
TOUCH: Final = 1e-7
WELD: Final = 1e-6
ON_LINE: Final = 2e-5
SAME_PLACE: Final = 1e-7
MOST_HOPS: Final = 100_000
LONGEST_LIST: Final = 256

TABLE: Final[dict[str, Tolerance]] = {
    "STANDOFF": Tolerance(
        STANDOFF,
        "m",
        "height at which water runs above a face: a film's thickness, well under the "
        "1 mm between two sheets",
    ),
    "CLOSED": Tolerance(
        CLOSED,
        "m",
        "gaps narrower than this count as touching: under the stand-off, so that two sheets exactly "
        "one stand-off apart are not left to rounding",
    ),
    "NUDGE": Tolerance(
        NUDGE,
        "m",
        "how far beyond a rim a fall begins, so that it clears the face it leaves; far "
        "under any length in a roof, far over rounding (1e-15 m)",
    ),
    "LEVEL": Tolerance(
        LEVEL,
        "1",
        "slope under which a face or a crease is level: a tenth of a millimetre in a metre, flatter "
        "than any is made; over the tilt that rounding to float32 gives to a soffit 10 mm wide (5e-5)",
    ),
    "PARALLEL": Tolerance(
        PARALLEL,
        "1",
        "cosine under which water or a ray runs along an edge or a face instead of "
        "into it; over rounding of a direction at 1 km (1e-10)",
    ),
    "FLAT": Tolerance(
        FLAT,
        "rad",
        "how far two faces may be from one plane and still be one sheet with no crease",
    ),
    "SNAP": Tolerance(
        SNAP,
        "share of an edge",
        "how near to an edge's end a path counts as meeting the corner, so "
        "that a path aimed at a corner is decided there and not by rounding",
    ),
    "TIE": Tolerance(
        TIE,
        "1",
        "slopes closer than this are equal and the tie is broken by direction, not by the "
        "order of faces",
    ),
    "WIDEN": Tolerance(
        WIDEN,
        "1",
        "widening of a triangle in barycentric coordinates for rays, so that edges and "
        "corners have no crack",
    ),
    "DEGENERATE": Tolerance(
        DEGENERATE,
        "m",
        "a triangle with an altitude under this has no side to run on and is left "
        "out; its edges become rims",
    ),
    "TOUCH": Tolerance(
        TOUCH,
        "m",
        "faces of one part closer than this touch, though they share no corner; and how far a helping "
        "line, which ties a loose end of a contact to a corner, must keep from other "
        "points to count as a line of its own",
    ),
    "WELD": Tolerance(
        WELD,
        "m",
        "corners of one part closer than this are one: over the rounding of coordinates that a "
        "program wrote anew for each triangle (float32: 2.4e-7 m at 4 m), far under any gap",
    ),
    "ON_LINE": Tolerance(
        ON_LINE,
        "m",
        "an end of a contact this near to another contact's line lies on it: three sheets that meet in "
        "a point find it so near; a line drawn aside by more opens a way beside a sheet's edge",
    ),
    "SAME_PLACE": Tolerance(
        SAME_PLACE,
        "share of a face",
        "a drop that comes back to within this of where it was is driven round in a ring by the "
        "wind; where nothing but gravity drives it none comes back",
    ),
    "MOST_HOPS": Tolerance(
        MOST_HOPS,
        "hops",
        "cap that turns an endless path into an unresolved drop",
    ),
    "LONGEST_LIST": Tolerance(
        LONGEST_LIST,
        "faces",
        "a rim with more faces than this below it looks its landing up in the "
        "tree instead of in its own list",
    ),
}
