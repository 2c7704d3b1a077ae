"""What is shown, described once: pieces, water, leaks, short laps and words. No renderer is known
here.

Every view of ours (picture, window, and what comes later) draws this same description, so that
colours, letters and numbers agree everywhere and with the text.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role
from scenes.colours import Colour
from scenes.say_weather import is_windy, weather_words
from scenes.stage_camera import VIEWS, View
from scenes.stage_cut import cut_level, outside_removed
from scenes.stage_fields import Field
from scenes.stage_letters import keyed
from scenes.stage_water import (
    Entered,
    Pool,
    RecordedPaths,
    WaterPath,
    pools,
    read_deciding,
    read_paths,
)
from scenes.stage_wind import Wind
from scenes.stage_words import DRY, Answer, capital, is_wet, percent, shares, verdict

Floats = NDArray[np.float64]

NEAR = 0.3
"""A leak or a short lap this near to the flashings is brought into the view [m]."""

STACK_SHOWN = 0.10
"""How far the stack is shown above the highest flashing before it is cut away [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One part as it is shown: `letter` stands at the piece and in the legend. triangles: (n, 3,
    3) [m], of which the last `cut_face` are where it is cut open; ghost: (m, 3, 3) [m], cut away,
    outline only; see_through: whether what lies beneath it shows."""

    letter: str
    name: str
    role: Role
    colour: Colour
    triangles: Floats
    ghost: Floats
    cut_face: int = 0
    see_through: bool = False

    @property
    def legend(self) -> str:
        """The words of the legend."""
        name = capital(self.name)
        return f"{name} (see-through)" if self.see_through else name


@dataclass(frozen=True, slots=True, eq=False)
class LeakMark:
    """A leak by its number in the text; point (3,) [m] is the way in."""

    number: int
    point: Floats
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class ShortLap:
    """A lap too short, drawn along its open edge (k, 3) [m]; missing [m]."""

    edge: Floats
    missing: float
    words: str

    @property
    def label(self) -> str:
        """What stands at the edge."""
        return f"{self.missing * 1000:.0f} mm short"


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """Everything that a view shows. `verdict` is one line, `shares` one line of where water ends;
    both are empty where nothing was computed. `fates_known`: whether `behind` of the paths was
    told. `bad` is True when water gets in or a lap is short, `clear` when nothing else is amiss
    either. `weather` is one line; `wind` None in still air; `deciding_words` stand at the path marked
    as the first way in; `fields`: amounts on the surfaces, where they were asked for; `guides`: (2, 3)
    [m] each, from where a piece is drawn to where it belongs."""

    title: str
    note: str
    verdict: str
    shares: str
    bad: bool
    clear: bool
    pieces: tuple[Piece, ...]
    paths: tuple[WaterPath, ...]
    fates_known: bool
    leaks: tuple[LeakMark, ...]
    laps: tuple[ShortLap, ...]
    fall: Floats | None
    views: tuple[View, ...] = VIEWS
    weather: str = ""
    wind: Wind | None = None
    pools: tuple[Pool, ...] = ()
    deciding_words: str = ""
    fields: tuple[Field, ...] = ()
    guides: tuple[Floats, ...] = ()

    @staticmethod
    def of(
        assembly: Assembly,
        findings: Answer | None = None,
        paths: RecordedPaths | None = None,
        *,
        fates: NDArray[np.integer] | None = None,
        entered: Entered | None = None,
        title: str,
        note: str = "",
        weather: Mapping[str, Any] | None = None,
        deciding: RecordedPaths | None = None,
        deciding_words: str = "",
        known: Collection[str] = (),
    ) -> Stage:
        """Describe an assembly, its findings and k recorded paths (either may be None).

        fates (k,) of sim.fates.Fate, one a path: without them no path is said to stay outside or to
        get behind; entered: tells where they get behind. weather: as findings.json holds it;
        deciding: one path more that is marked, with deciding_words at it. known: names of the
        flashings of the scene made right, so that its letters stay though one is missing. Raises
        SceneError when the number of fates differs.
        """
        ways = [] if paths is None else read_paths(paths, fates, entered)
        ways += [] if deciding is None else read_deciding(deciding)
        pieces = []
        for part, letter, colour in keyed(assembly, known):
            piece, ways = _piece(part, letter, colour, assembly, ways)
            pieces.append(piece)
        leaks, laps = ((), ()) if findings is None else (_leaks(findings), _short_laps(findings))
        return Stage(
            title=title,
            note=note,
            verdict="" if findings is None else verdict(findings),
            shares="" if findings is None else shares(findings),
            bad=findings is not None and (is_wet(findings) or bool(laps)),
            clear=findings is None or verdict(findings) == DRY,
            pieces=tuple(pieces),
            paths=tuple(ways),
            fates_known=fates is not None,
            leaks=leaks,
            laps=laps,
            fall=fall_of(assembly),
            weather="" if weather is None else capital(weather_words(weather)),
            wind=Wind.of(weather) if weather is not None and is_windy(weather) else None,
            pools=() if findings is None else pools(findings.standing),
            deciding_words=deciding_words,
        )

    @property
    def target(self) -> Floats:
        """(n, 3) [m]: what a view must hold: flashings, or every piece where none is; and what is
        marked near them. A mark farther off is pointed at from the border of the view."""
        sheets = [piece for piece in self.pieces if piece.role is Role.FLASHING]
        shown = [piece.triangles.reshape(-1, 3) for piece in sheets or self.pieces]
        if sheets:
            shown += [p.triangles[-p.cut_face :].reshape(-1, 3) for p in self.pieces if p.cut_face]
        points = np.concatenate(shown)
        marks = [leak.point[None] for leak in self.leaks] + [lap.edge for lap in self.laps]
        marks += [pool.point[None] for pool in self.pools]
        low, high = points.min(axis=0) - NEAR, points.max(axis=0) + NEAR
        near = [mark for mark in marks if ((low <= mark) & (mark <= high)).all()]
        return np.concatenate([points, *near])


def _piece(
    part: Part, letter: str, colour: Colour, assembly: Assembly, ways: list[WaterPath]
) -> tuple[Piece, list[WaterPath]]:
    """The piece as shown; a stack that hides what is behind it is cut, and its water with it."""
    triangles = part.vertices[part.faces]
    none = np.empty((0, 3, 3))
    level = _cut_height(part, assembly)
    if level is None:
        return Piece(letter, part.name, part.role, colour, triangles, none), ways
    cut = cut_level(triangles, level)
    left = outside_removed([way.points for way in ways], cut.removed, level)
    trimmed = [
        WaterPath(stretch, way.runs)
        for way, stretches in zip(ways, left, strict=True)
        for stretch in stretches
    ]
    return Piece(letter, part.name, part.role, colour, cut.kept, cut.removed, cut.face), trimmed


def _cut_height(part: Part, assembly: Assembly) -> float | None:
    """Where to cut this part [m], or None: only a stack that stands well above every flashing."""
    tops = [p.vertices[:, 2].max() for p in assembly if p.role is Role.FLASHING]
    if part.role is not Role.STACK or not tops:
        return None
    height = float(max(tops)) + STACK_SHOWN
    low, high = part.vertices[:, 2].min(), part.vertices[:, 2].max()
    return height if low < height and high > height + STACK_SHOWN else None


def fall_of(assembly: Assembly) -> Floats | None:
    """Unit vector (3,) down the mean slope of the covering's upper faces; where slopes even out, as on
    both sides of a ridge, down that towards the eaves below. None when level or absent."""
    found = [np.zeros((0, 3))]
    for part in assembly:
        if part.role is Role.COVERING:
            a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
            square = np.cross(b - a, c - a)
            found.append(square[square[:, 2] > 0])
    faces = np.concatenate(found)
    down = _down(faces)
    return _down(faces[faces[:, 1] < 0]) if down is None else down


def _down(faces: Floats) -> Floats | None:
    """Unit vector down the mean of faces, given by their normals times their areas (n, 3)."""
    total = faces.sum(axis=0)
    length = np.linalg.norm(total)
    if length == 0:
        return None
    normal = total / length
    down = np.array([0.0, 0.0, -1.0]) + normal * normal[2]
    steep = np.linalg.norm(down)
    return down / steep if steep > np.sin(np.radians(2)) else None


def _leaks(findings: Answer) -> tuple[LeakMark, ...]:
    rows = []
    for leak in findings.leaks:
        words = f"{leak.way_in}: {percent(leak.share)} of the water"
        rows.append(LeakMark(int(leak.id), np.asarray(leak.point, dtype=float), words))
    return tuple(rows)


def _short_laps(findings: Answer) -> tuple[ShortLap, ...]:
    rows = []
    for lap in findings.laps:
        if not lap.ok:
            words = f"{lap.upper} over {lap.lower}, {lap.where}"
            edge = np.asarray(lap.edge, dtype=float)
            rows.append(ShortLap(edge, float(lap.needed - lap.length), words))
    return tuple(rows)
