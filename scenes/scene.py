"""Scene files: read, checked, and turned into what the builder and the rain are told.

Light imports only: nothing here loads numpy, numba or trimesh.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from hashlib import sha256
from math import radians
from pathlib import Path
from stat import S_ISDIR, S_ISREG
from typing import Any

from pydantic import ValidationError

from meshes.errors import SceneError, require
from meshes.spec import Detail
from scenes.faults.fault import Asked
from scenes.measures import detail_of
from scenes.places import Loc, at, first_fault, key_lines, shown
from scenes.tables import PartTable, SceneTable, WeatherTable
from scenes.text_file import text_of
from scenes.weather import case
from sim.water import GRAVITY

LIBRARY = Path(__file__).parent / "library"
LARGEST_FILE = 1_000_000
"""Bytes of a scene file. A scene is a page of text; anything longer is something else."""
LONGEST_NAME = 1000
"""Letters of a file's name with its folders."""
CONTROL = re.compile(r"[\x00-\x1f\x7f]")
"""Letters that no file's name should have; others may be odd, on a terminal with few letters."""
BYTE_ORDER_MARK = "\ufeff"
"""Some editors put it before the first letter."""
MOST_IN_A_KEY = 32
"""Names in a key; a scene needs two."""
NO_KEYS = re.compile(
    r'"""(?:\\.|(?!""")[^\\])*+(?:""")?|'
    r"'''(?:(?!''').)*+(?:''')?|"
    r'"(?:\\.|[^"\\\n])*+"?|'
    r"'[^'\n]*+'?|#[^\n]*+",
    re.DOTALL,
)
"""Texts in quotes and remarks, in which a dot is a dot; each read once, closed or not."""
BETWEEN_KEYS = re.compile(r"[=,{}\[\]\n]")
LEAST_PULL = 1.0
"""Least downward drive [m/s2] that a push may leave, so that rain still comes down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """Rain [m/s on level ground], the gust [m/s], the rain's slant where there is no gust and where
    both come from [rad], `drive`, gravity with the scene's push [m/s2], and what wind does to films
    and open edges (drag, pressure) [1]."""

    rain: float
    gust: float
    slant: float
    from_angle: float
    drive: tuple[float, float, float]
    drag: float
    pressure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFile:
    """A part that stands in a mesh file. `place` begins a message about it."""

    name: str
    path: Path
    role: str
    unit: str
    place: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A situation, checked. `detail` is None when the scene consists of parts from files alone.

    table: the file as it was read; lines: where its keys stand, for messages; faults: what is done
    wrong on purpose to `detail`, which stays as the file has it.
    """

    title: str
    note: str
    file: str
    sha256: str
    detail: Detail | None
    parts: tuple[PartFile, ...]
    weather: Weather
    table: SceneTable
    lines: Mapping[Loc, int]
    faults: tuple[Asked, ...] = ()


def load(name: str) -> Scene:
    """The scene in the file `name`, or the library's scene of that name.

    Raises SceneError with one line (file, line, key, rule, value) for anything that can't be used.
    """
    path = find(name)
    label = os.fsencode(path.name).decode(errors="replace")
    return read(text_of(path, str(path), LARGEST_FILE), label, path.parent)


def names() -> tuple[str, ...]:
    """Names of the library's scenes, in alphabetical order."""
    return tuple(sorted(path.stem for path in LIBRARY.glob("*.toml")))


def find(name: str) -> Path:
    """Path of a scene: a bare name of the library's, otherwise a file. Raises SceneError."""
    if name in names():
        return LIBRARY / f"{name}.toml"
    path = Path(name)
    if not name or CONTROL.search(name) or len(name) > LONGEST_NAME:
        raise SceneError(f"{shown(name)}: can't be the name of a scene file")
    try:
        mode = path.stat().st_mode
    except OSError as error:
        raise SceneError(_not_found(name, error)) from error
    if S_ISDIR(mode):
        raise SceneError(f"{name}: is a folder; a scene is a TOML file")
    if not S_ISREG(mode):
        raise SceneError(f"{name}: is not an ordinary file")
    return path


def _not_found(name: str, error: OSError) -> str:
    if not isinstance(error, FileNotFoundError):
        return f"{name}: can't be read ({error.strerror})"
    close = get_close_matches(name, names(), n=1)
    guess = f" Did you mean {close[0]}?" if close else ""
    known = ", ".join(names())
    return f"{name}: no such file, nor a scene of the library ({known}).{guess}"


def read(text: str, file: str, folder: Path) -> Scene:
    """A scene from its text. Raises SceneError.

    file: its name in messages and results; folder: where its part files are looked for.
    """
    data = _parse(text.removeprefix(BYTE_ORDER_MARK), file)
    return of_data(data, sha256(text.encode()).hexdigest(), file, folder, key_lines(text))


def of_data(
    data: dict[str, Any], digest: str, file: str, folder: Path, lines: Mapping[Loc, int]
) -> Scene:
    """A scene from the values of its file. Raises SceneError.

    digest: stands for what was read; file, folder: as `read` has them; lines: where keys stand, if any.
    """
    try:
        table = SceneTable.model_validate(data)
    except ValidationError as error:
        loc, wording = first_fault(error, data, SceneTable)
        raise SceneError(f"{at(file, lines, loc)}: {wording}") from error
    detail = detail_of(table, file, lines)
    return Scene(
        title=table.title,
        note=table.note,
        file=file,
        sha256=digest,
        detail=detail,
        parts=tuple(_part(row, n, file, folder, lines) for n, row in enumerate(table.part)),
        weather=_weather(table, file, lines),
        table=table,
        lines=lines,
    )


def _parse(text: str, file: str) -> dict[str, Any]:
    if _longest_key(text) > MOST_IN_A_KEY:
        raise SceneError(f"{file}: isn't TOML that can be read: nested too deep")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise SceneError(f"{file}: isn't TOML that can be read: nested too deep") from error
    except ValueError as error:
        reason = " ".join(str(error).split())
        line = ""
        if where := re.search(r" \(at line (\d+), column (\d+)\)$", reason):
            line, reason = f", line {where[1]}", f"{reason[: where.start()]} (column {where[2]})"
        if twice := re.match(r"Cannot overwrite a value|Cannot declare .* twice", reason):
            what = "table" if "declare" in twice[0] else "key"
            raise SceneError(f"{file}{line}: a {what} stands there for the second time") from error
        raise SceneError(f"{file}{line}: isn't TOML that can be read: {reason}") from error


def _longest_key(text: str) -> int:
    """How many names, parted by dots, the longest key has. Python's reader needs memory that grows with
    the square of it: a file of a megabyte would fill any machine."""
    bare = NO_KEYS.sub('""', text)
    return max(run.count(".") for run in BETWEEN_KEYS.split(bare)) + 1


def _part(row: PartTable, n: int, file: str, folder: Path, lines: Mapping[Loc, int]) -> PartFile:
    place = at(file, lines, ("part", n, "file"))
    return PartFile(
        name=row.name, path=folder / row.file, role=row.role, unit=row.unit, place=place
    )


def _weather(table: SceneTable, file: str, lines: Mapping[Loc, int]) -> Weather:
    weather = table.weather
    right, up_slope, up = weather.push_m_s2
    if up > GRAVITY - LEAST_PULL:
        place = at(file, lines, ("weather", "push_m_s2"))
        limit = f"{GRAVITY - LEAST_PULL:.1f} or less upwards: rain must still come down"
        raise SceneError(f"{place}: must be {limit}. Got {up:g}")
    if weather.gust_m_s > 0:
        for key, said in (("slant_deg", weather.slant_deg), ("push_m_s2", any(weather.push_m_s2))):
            if said:
                place = at(file, lines, ("weather", key))
                rule = "must be left out where there is a gust, which slants rain and drives water"
                raise SceneError(f"{place}: {rule}. Got gust_m_s = {weather.gust_m_s:g}")
    return Weather(
        rain=weather.rain_mm_h / 3.6e6,
        gust=weather.gust_m_s,
        slant=radians(weather.slant_deg),
        from_angle=radians(weather.from_deg),
        drive=(right, up_slope, up - GRAVITY),
        drag=weather.drag_coefficient,
        pressure=weather.pressure_factor,
    )


def in_weather(
    scene: Scene, *, case_name: str | None = None, from_deg: float | None = None
) -> Scene:
    """The scene in the weather of a case, or with its weather from another side [degrees].

    What the scene says of slant and push is left out with a case. Raises SceneError for no such case.
    """
    if case_name is None and from_deg is None:
        return scene
    said = scene.table.weather.model_dump()
    if case_name is not None:
        one = case(case_name)
        said |= {"case": one.name, "rain_mm_h": one.rain_mm_h, "gust_m_s": one.gust_m_s}
        said |= {"slant_deg": 0.0, "push_m_s2": [0.0, 0.0, 0.0]}
    if from_deg is not None:
        rule = "a number from -360 to 360 degrees"
        require(-360 <= from_deg <= 360, "from_deg", from_deg, rule, SceneError)
        said["from_deg"] = from_deg
    table = scene.table.model_copy(update={"weather": WeatherTable.model_validate(said)})
    return replace(scene, table=table, weather=_weather(table, scene.file, scene.lines))
