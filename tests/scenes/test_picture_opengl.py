"""OpenGL is asked for before drawing: without it the graphics library ends the process."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from meshes.errors import SceneError
from scenes import opengl
from scenes.picture import draw
from scenes.stage import Stage
from tests.scenes.picture_house import house

ROOT = Path(__file__).parents[2]
INSTALL = "apt-get install libegl1 libgl1-mesa-dri"

needs_linux = sys.platform.startswith("linux")


def _told_in_a_new_process(**environment: str) -> str:
    """What `problem()` says in a process of its own with these variables and no display."""
    clean = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    code = "from scenes import opengl; print(opengl.problem())"
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=clean | environment,
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    return run.stdout.strip()


def test_a_missing_library_is_one_clear_line() -> None:
    """Derived: no library of that name can be loaded, so the line says which packages bring it."""
    told = opengl._probe("libEGL-that-nobody-has.so.9")
    assert told is not None
    assert "libEGL is missing" in told
    assert INSTALL in told
    assert "\n" not in told


def test_a_library_that_is_no_egl_is_one_clear_line() -> None:
    """Derived: the C library loads but knows no EGL call."""
    if needs_linux:
        told = opengl._probe("libc.so.6")
        assert told is not None
        assert "older than 1.5" in told


def test_no_driver_is_one_clear_line() -> None:
    """Derived: EGL told to use no driver; where EGL itself is missing the line says so instead."""
    told = _told_in_a_new_process(__EGL_VENDOR_LIBRARY_FILENAMES="/nowhere/none.json")
    if needs_linux:
        assert told.startswith("No picture can be drawn: ")
        assert INSTALL in told


def test_the_probe_takes_less_than_half_a_second() -> None:
    """Practice: it stands before every run, so it must not be felt; milliseconds were measured."""
    began = time.perf_counter()
    opengl.problem.__wrapped__()
    assert time.perf_counter() - began < 0.5


def test_draw_says_what_is_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: with a problem `draw` raises the very line, and writes nothing."""
    monkeypatch.setattr(opengl, "problem", lambda: f"No picture can be drawn. {INSTALL}")
    with pytest.raises(SceneError, match="libgl1-mesa-dri"):
        draw(Stage.of(house(), title="House"), tmp_path / "picture.png")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("before", "after"),
    [("", "vtkEGLRenderWindow"), ("mine", "mine"), (None, "vtkEGLRenderWindow")],
)
def test_the_users_own_choice_of_window_stays(
    before: str | None, after: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Derived: set only where nothing is set (measured: an empty value stops all drawing)."""
    monkeypatch.setattr(opengl, "screenless", lambda: True)
    monkeypatch.delenv("VTK_DEFAULT_OPENGL_WINDOW", raising=False)
    if before is not None:
        monkeypatch.setenv("VTK_DEFAULT_OPENGL_WINDOW", before)
    opengl.prefer_off_screen()
    assert os.environ["VTK_DEFAULT_OPENGL_WINDOW"] == after


def test_with_a_display_nothing_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: the system's own window is used where there is a display."""
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.delenv("VTK_DEFAULT_OPENGL_WINDOW", raising=False)
    opengl.prefer_off_screen()
    assert "VTK_DEFAULT_OPENGL_WINDOW" not in os.environ


def test_a_home_that_cannot_be_written_to_brings_no_words() -> None:
    """Practice: the plotting library that PyVista brings warns of it at import, through Python's
    logging; a user of ours can do nothing with that."""
    code = "import scenes.picture, matplotlib, scenes.picture_render; matplotlib.get_configdir()"
    home = {"HOME": os.devnull, "MPLCONFIGDIR": os.path.join(os.devnull, "none")}
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=os.environ | home, capture_output=True
    )
    assert (done.returncode, done.stderr) == (0, b"")
