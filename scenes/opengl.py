"""Ask for OpenGL before the first drawing: without it the graphics library ends the process."""

from __future__ import annotations

import ctypes
import ctypes.util
import os
import sys
from functools import cache

from meshes.errors import SceneError
from scenes.progress import Remarks

_EGL_PLATFORM_SURFACELESS = 0x31DD
_EGL_DEFAULT_DISPLAY = None
_INSTALL = "Debian and Ubuntu: apt-get install libegl1 libgl1-mesa-dri"


def screenless() -> bool:
    """True on Linux with no X display: drawing then goes through EGL, off screen."""
    return sys.platform.startswith("linux") and not os.environ.get("DISPLAY")


def need_screen() -> None:
    """Raise SceneError, in one line, where no window can be opened."""
    if screenless():
        words = "No window can be opened: there is no display. `stackrain run` draws a picture."
        raise SceneError(words)


def prefer_off_screen() -> None:
    """Point the graphics library at EGL where there is no display; call before the first window.

    What the user has set stays; an empty value counts as not set, since it stops all drawing.
    """
    name = "VTK_DEFAULT_OPENGL_WINDOW"
    if screenless() and not os.environ.get(name):
        os.environ[name] = "vtkEGLRenderWindow"


@cache
def problem() -> str | None:
    """None when pictures can be drawn, else one line: what is missing and what to install.

    Takes milliseconds. Only a Linux without a display is probed (elsewhere the system brings
    OpenGL): EGL is loaded and a surfaceless display opened and closed again.
    """
    if not screenless():
        return None
    return _probe(ctypes.util.find_library("EGL") or "libEGL.so.1")


def _probe(library: str) -> str | None:
    """The line for one EGL library, by name; None when a surfaceless display opens."""
    try:
        egl = ctypes.CDLL(library)
    except OSError:
        return f"No picture can be drawn: the system library libEGL is missing. {_INSTALL}"
    try:
        open_display = egl.eglGetPlatformDisplay
        start, stop = egl.eglInitialize, egl.eglTerminate
    except AttributeError:
        return f"No picture can be drawn: the system's libEGL is older than 1.5. {_INSTALL}"
    open_display.restype = ctypes.c_void_p
    open_display.argtypes = [ctypes.c_uint, ctypes.c_void_p, ctypes.c_void_p]
    start.argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_void_p]
    stop.argtypes = [ctypes.c_void_p]
    display = open_display(_EGL_PLATFORM_SURFACELESS, _EGL_DEFAULT_DISPLAY, None)
    if not display or not start(display, None, None):
        return f"No picture can be drawn: OpenGL has no driver to draw with. {_INSTALL}"
    stop(display)
    return None


def can_draw(remarks: Remarks) -> bool:
    """Whether a picture can be drawn; if not, says why in one line, and the work goes on."""
    missing = problem()
    if missing:
        remarks.say(missing)
    return missing is None
