"""What this machine has for stackrain: packages, extras, what it can draw with, where code is kept."""

from __future__ import annotations

import os
import platform
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path
from typing import Final

from scenes import __version__

PACKAGE: Final = "stackrain"
EXTRAS: Final = {
    "film": "films as MP4; a GIF needs none",
    "cluster": "sweeps over the workers of a Dask scheduler",
    "test": "for contributors: the tests",
    "lint": "for contributors: style and types",
    "bench": "for contributors: what a raw ray costs",
}
"""What each extra of the package is for."""
PATIENCE: Final = 60
"""How long drawing one dot may take before it is given up [s]."""
DRAW: Final = """\
from scenes.opengl import prefer_off_screen
prefer_off_screen()
from vtkmodules.vtkRenderingCore import vtkRenderWindow
import vtkmodules.vtkRenderingOpenGL2
window = vtkRenderWindow()
window.SetOffScreenRendering(True)
window.Render()
print(window.ReportCapabilities())
"""
"""Draws nothing, off screen, and says with what. The graphics library may end the process, so that this
one is asked of another."""


@dataclass(frozen=True, slots=True)
class Has:
    """One line: what, how it stands, and whether stackrain can do without it as it stands."""

    what: str
    how: str
    well: bool = True


def about() -> str:
    """Which program, on what, in one line."""
    from sim.threads import cores

    count = cores()
    system = f"{platform.system()} {platform.machine()}"
    many = "core" if count == 1 else "cores"
    python = f"{platform.python_implementation()} {platform.python_version()}"
    return f"stackrain {__version__}, {python}, {system}, {count} {many}"


def packages() -> tuple[Has, ...]:
    """Every package that is needed, with its version. Not well: missing, or older than it may be."""
    asked = _asked()
    if asked is None:
        return (Has("packages", "not known: stackrain itself is not installed, only run"),)
    return tuple(_package(name, least) for name, least, extra in asked if not extra)


def extras() -> tuple[Has, ...]:
    """Every extra, whether all of it is here, and what it is for. Well either way."""
    asked = _asked() or ()
    return tuple(_extra(name, words, asked) for name, words in EXTRAS.items())


def _extra(extra: str, words: str, asked: tuple[tuple[str, str, str], ...]) -> Has:
    rows = [_package(name, least) for name, least, of in asked if of == extra]
    lacks = [row.what for row in rows if not row.well]
    if not rows or lacks:
        return Has(extra, f"not here ({words}): pip install 'stackrain[{extra}]'")
    return Has(extra, f"here ({words})")


def _asked() -> tuple[tuple[str, str, str], ...] | None:
    """Name, least version and extra of all that the installed package asks for; None if there is none."""
    try:
        lines = metadata.requires(PACKAGE)
    except metadata.PackageNotFoundError:
        return None
    return tuple(_split(line) for line in lines or ())


def _split(line: str) -> tuple[str, str, str]:
    name = re.match(r"[\w.-]+", line)
    least = re.search(r"[>=]=([\w.]+)", line.split(";")[0])
    extra = re.search(r"""extra == ['"]([\w-]+)['"]""", line)
    return name[0] if name else line, least[1] if least else "", extra[1] if extra else ""


def _package(name: str, least: str) -> Has:
    try:
        version = metadata.version(name)
    except metadata.PackageNotFoundError:
        return Has(name, f"missing: pip install '{name}>={least}'", well=False)
    if _numbers(version) < _numbers(least):
        return Has(name, f"{version}, older than {least}: pip install -U {name}", well=False)
    return Has(name, version)


def _numbers(version: str) -> tuple[int, ...]:
    """The numbers that a version begins with: 2.1.0rc1 gives 2, 1, 0."""
    found = re.match(r"\d+(\.\d+)*", version)
    return tuple(int(number) for number in found[0].split(".")) if found else ()


def drawing() -> Iterator[Has]:
    """What can be shown here: pictures, a window, pages. Well either way: the answer needs none."""
    from scenes.opengl import problem, screenless
    from scenes.page.page import script_lacks

    yield Has("pictures", problem() or _drawn_with())
    window = "none: there is no display" if screenless() else "there is a display"
    yield Has("window", window)
    yield Has("pages", script_lacks() or "can be written, and are drawn by any browser")


def _drawn_with(python: str = sys.executable) -> str:
    """Who draws, asked of a process of its own."""
    try:
        done = subprocess.run(
            [python, "-c", DRAW], capture_output=True, text=True, errors="replace",
            timeout=PATIENCE, check=False,
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired) as error:
        return f"No picture can be drawn: {type(error).__name__} when it was tried"
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["no word why"])[-1][:120]
        return f"No picture can be drawn: the graphics library ended ({last})"
    who = re.search(r"OpenGL renderer string:\s*(.+)", done.stdout)
    return f"can be drawn, by {who[1].strip() if who else 'OpenGL'}"


def kept_code() -> Has:
    """Where compiled code is kept from run to run. Well either way: without, each run compiles anew."""
    from sim.walk import walk

    folder = getattr(getattr(walk, "stats", None), "cache_path", None)
    if folder is None:
        return Has("compiled code", "can't be kept: every run compiles anew, half a minute")
    place = Path(folder)
    while not place.exists() and place != place.parent:
        place = place.parent
    if os.access(place, os.W_OK | os.X_OK):
        return Has("compiled code", f"is kept in {folder}")
    return Has("compiled code", f"is read from {folder}, where nothing new can be written")
