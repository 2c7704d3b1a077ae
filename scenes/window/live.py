"""The window on a screen: keys, mouse and clock, handed to what the window does with them."""

from __future__ import annotations

import time
from typing import Any, Final

from scenes.picture_render import quiet
from scenes.run import Result
from scenes.window.keys import LEAVE, PICK
from scenes.window.window import Window

SIZE: Final = (1440, 900)
TICK: Final = 40
"""Running water is drawn anew so often [ms]."""
STILL: Final = 4
"""A mouse that moves less between press and release has clicked [px]."""


def open_window(result: Result, size: tuple[int, int] = SIZE) -> None:
    """Show a result in a window of `size` [px] until it is closed. Needs a display."""
    with quiet():
        window = Window(result, size, off_screen=False)
        Hands(window).wind_up()
        try:
            window.plotter.show(title=f"stackrain: {window.stage.title}")
        finally:
            window.plotter.close()


class Hands:
    """Takes what a user does to the window, and keeps the library's own keys away."""

    def __init__(self, window: Window) -> None:
        self._window, self._iren = window, window.plotter.iren
        self._pressed: tuple[int, int] | None = None
        self._clock = time.monotonic()
        self._iren.remove_observers("KeyPressEvent")
        self._iren.enable_terrain_style(mouse_wheel_zooms=True, shift_pans=True)
        # A style that has such an observer leaves its own keys (e, f, p, r, s, w, 3 ...) alone.
        self._iren.style.add_observer("CharEvent", lambda *_: None)
        for event, call in (
            ("LeftButtonPressEvent", self._mouse_down),
            ("LeftButtonReleaseEvent", self._mouse_up),
            ("StartInteractionEvent", lambda *_: window.turning(True)),
            ("EndInteractionEvent", lambda *_: window.turning(False)),
        ):
            self._iren.style.add_observer(event, call)
        self._iren.interactor.AddObserver("KeyPressEvent", self._key)
        self._iren.interactor.AddObserver("TimerEvent", self._tick)

    def wind_up(self) -> None:
        """Start the clock; on a screen only."""
        self._iren.initialize()
        self._iren.interactor.CreateRepeatingTimer(TICK)

    def _key(self, interactor: Any, event: str) -> None:
        name = str(interactor.GetKeySym() or "").lower()
        if name == LEAVE:
            self._iren.terminate_app()
        elif name == PICK:
            self._window.click(*self._pointer())
        else:
            self._window.press(name)

    def _pointer(self) -> tuple[float, float]:
        """Where the pointer is [px], right and down from the view's upper left corner."""
        x, y = self._iren.interactor.GetEventPosition()
        return x, self._window.view_size[1] - 1 - y

    def _mouse_down(self, *_: Any) -> None:
        self._pressed = self._iren.interactor.GetEventPosition()

    def _mouse_up(self, *_: Any) -> None:
        before, self._pressed = self._pressed, None
        now = self._iren.interactor.GetEventPosition()
        if before and max(abs(now[0] - before[0]), abs(now[1] - before[1])) < STILL:
            self._window.click(*self._pointer())

    def _tick(self, *_: Any) -> None:
        before, self._clock = self._clock, time.monotonic()
        self._window.tick(self._clock - before)
