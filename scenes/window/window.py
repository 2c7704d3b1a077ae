"""The window itself: what keys and clicks change, and the drawing that follows it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from vtkmodules.vtkRenderingCore import vtkActor2D, vtkImageMapper, vtkRenderer

from meshes.parts import Role
from scenes.colours import BEHIND, INK, PAPER, SHORT_LAP, SKY, WATER
from scenes.exploded import ordinal, shifts
from scenes.label_layout import Box
from scenes.opengl import prefer_off_screen
from scenes.run import Result, stage_of
from scenes.stage import Stage
from scenes.stage_camera import Camera
from scenes.stage_sight import Sight, Spot, clear_view
from scenes.still import CLOSE
from scenes.window.camera import seen_from, send
from scenes.window.drawing import Drawing, outlines
from scenes.window.figures import Figures, Told
from scenes.window.keys import press
from scenes.window.labels import Label, Labels
from scenes.window.panel import WIDTH, draw_panel
from scenes.window.picking import Line, Mark, pick
from scenes.window.shown import Picked, Shown
from scenes.window.water import Running, drawn, ways_of

Floats = NDArray[np.float64]

RING: Final = 0.012
"""Radius of the ring round a leak that was asked about [m]."""
LETTER: Final = 16
"""A letter stands beside a piece of which less is seen each way, for each letter [px]."""
LEAST_VIEW: Final = 240
"""The view keeps so much of a narrow window [px]."""


def _plotter(size: tuple[int, int], *, off_screen: bool) -> Any:
    """A plotter of a size [px] with nothing in it."""
    plotter = pv.Plotter(off_screen=off_screen, window_size=list(size), lighting="none")
    plotter.background_color = pv.Color(SKY)
    # Or the first frame would send the camera where all is in view.
    plotter.camera_set = True
    plotter.enable_anti_aliasing("msaa", multi_samples=4)
    return plotter


class Window:
    """A window on a result. `shown` is all that it shows; `press`, `click` and `tick` change it, and the
    drawing follows."""

    def __init__(self, result: Result, size: tuple[int, int], *, off_screen: bool) -> None:
        """size (width, height) [px]. The caller closes `plotter`."""
        if off_screen:
            prefer_off_screen()
        self.stage: Stage = stage_of(result)
        self._ways = ways_of(result, self.stage)
        self._running = Running.of(self._ways)
        self._place = {piece.name: place for place, piece in enumerate(self.stage.pieces)}
        moved = shifts(result.assembly)
        order = sorted(moved, key=lambda name: moved[name][0])
        self._apart = {self._place[name]: shift for name, (_, shift) in moved.items()}
        self.shown = Shown(
            views=len(self.stage.views),
            leaks=len(self.stage.leaks),
            dressed=tuple(self._place[name] for name in order),
        )
        self.figures = Figures(result, self.stage, {w.number: w.time[-1] for w in self._ways})
        self._short = [lap for lap in result.findings.laps if not lap.ok]
        laps = [
            Line(Picked("lap", lap.id), lap.edge, through=not lap.ok)
            for lap in result.findings.laps
            if len(lap.edge) > 1
        ]
        paths = [Line(Picked("path", w.number), w.points, w.behind) for w in self._ways]
        self._lines = [*laps, *paths]
        self._sheets = {
            lap.id: {self._place[lap.upper], self._place[lap.lower]} for lap in result.findings.laps
        }
        self._outside = {way.number for way in self._ways if not way.behind}
        self._wet = {
            leak: [{way.number for way in some} for some in both]
            for leak, both in drawn(self._ways).items()
        }
        self.plotter = _plotter(size, off_screen=off_screen)
        self._window = self.plotter.render_window
        self._overlay, self._column = vtkRenderer(), vtkRenderer()
        self._set_up_layers()
        short = frozenset(lap.id for lap in self._short)
        self._drawing = Drawing(
            self.plotter, self._overlay, self._ways, laps, short, self.stage, self._apart
        )
        self._labels = Labels(self._overlay)
        self._size = (0, 0)
        self._camera: Camera | None = None
        self._spots: dict[int, Spot] = {}
        self._sent = -1
        self._turning = False
        self._held: Camera | None = None
        self.sight = Sight(self.stage, self._fitted())
        self._follow()
        self._window.AddObserver("StartEvent", self._frame)

    @property
    def told(self) -> Told | None:
        """What is said about the thing that was asked about."""
        return None if self.shown.picked is None else self.figures.of(self.shown.picked)

    def press(self, key: str) -> None:
        """Do what a key says."""
        self._change(press(self.shown, key))

    def click(self, x: float, y: float) -> None:
        """Ask about what is at a pixel of the view, right and down from its upper left corner."""
        self._change(self.shown.pick(self.what_is_at(x, y)))

    def turning(self, turning: bool) -> None:
        """Whether a hand turns or moves the view just now: what the letters stand at is looked for when
        it lets go."""
        self._turning = turning
        if turning:
            self._held = self._seen_from()
        else:
            moved = self._held != self._seen_from()
            self._camera, self._size = None, (0, 0)
            if moved and not self.shown.turned:
                self._change(self.shown.turn())
            else:
                self.redraw()

    def redraw(self) -> None:
        """Draw a frame."""
        # The plotter's own way draws nothing before it is shown.
        self._window.Render()

    def tick(self, seconds: float) -> None:
        """Let so much time go by."""
        if self.shown.playing:
            self.shown = self.shown.after(seconds)
            self._draw_drops()
            self.redraw()

    def what_is_at(self, x: float, y: float) -> Picked | None:
        """What a click at a pixel of the view means."""
        if not 0 <= x < self.view_size[0]:
            return self.shown.picked
        named = self._labels.at(x, y)
        if named is not None:
            return named
        lines, marks = [], []
        if self.shown.water:
            now = {"lap": self._laps(), "path": self._paths()}
            lines = [line for line in self._lines if line.what.number in now[line.what.kind]]
            marks = [Mark(Picked("leak", leak.number), leak.point) for leak in self.stage.leaks]
        found = pick(self.sight, lines, marks, x, y)
        if found is None or found.kind != "piece":
            return found
        place = self._of_stage(found.number)
        return Picked("piece", place) if self._is_in_sight(place) else None

    @property
    def view_size(self) -> tuple[int, int]:
        """Width and height of the view beside the column [px]."""
        width, height = self._window.GetSize()
        return max(width - WIDTH, min(LEAST_VIEW, width)), height

    def _of_stage(self, number: int) -> int:
        """Place in the whole stage of a piece of what is in sight."""
        return self._place[self.sight.stage.pieces[number].name]

    def _laps(self) -> set[int]:
        """Numbers of the laps that are shown: those of which both sheets are."""
        if not self.shown.water:
            return set()
        gone = self.shown.out_of_sight
        return {number for number, places in self._sheets.items() if not places & gone}

    def _paths(self) -> set[int]:
        """Numbers of the paths that are drawn: close on a leak, of the water that gets in only its own."""
        if not self.shown.leak:
            return self._outside.union(*(few for few, _ in self._wet.values()))
        return self._outside.union(*self._wet.get(self.shown.leak, [])[1:])

    def _set_up_layers(self) -> None:
        window, view = self._window, self.plotter.renderer
        window.SetNumberOfLayers(2)
        self._overlay.SetLayer(1)
        self._overlay.SetActiveCamera(view.GetActiveCamera())
        self._column.SetBackground(*pv.Color(PAPER).float_rgb)
        for renderer in (self._overlay, self._column):
            renderer.InteractiveOff()
            window.AddRenderer(renderer)
        self._mapper = vtkImageMapper()
        self._mapper.SetColorWindow(255)
        self._mapper.SetColorLevel(127.5)
        words = vtkActor2D()
        words.SetMapper(self._mapper)
        self._column.AddViewProp(words)

    def _change(self, shown: Shown) -> None:
        if shown != self.shown:
            self.shown = shown
            self._follow()
            self.redraw()

    def _follow(self) -> None:
        """Draw all that hangs on `shown`, but for what follows the camera at the next frame."""
        self._drawing.show(self.shown, self._laps())
        self.sight = Sight(self._in_sight(), self.sight.camera)
        if self.shown.sent != self._sent:
            self._sent = self.shown.sent
            camera = self._fitted()
            reach = float(np.abs(self.sight.triangles - np.array(camera.focus)).sum(axis=2).max())
            send(self.plotter.renderer.GetActiveCamera(), camera, reach + 0.1)
        self._camera, self._size = None, (0, 0)

    def _is_in_sight(self, place: int) -> bool:
        """Whether the eye and a click meet a piece: it is neither off nor seen through."""
        through = self.shown.see_through and self.stage.pieces[place].role is Role.COVERING
        return place not in self.shown.out_of_sight and not through

    def _in_sight(self) -> Stage:
        """The stage with the pieces that are in sight, where they are now; all, where none is."""
        pieces = []
        for place, piece in enumerate(self.stage.pieces):
            if self._is_in_sight(place):
                shift = self._apart.get(place, 0.0) if self.shown.apart else 0.0
                pieces.append(replace(piece, triangles=piece.triangles + shift))
        return replace(self.stage, pieces=tuple(pieces or self.stage.pieces))

    def _fitted(self) -> Camera:
        """Where `shown` sends the camera."""
        view, hold = self.stage.views[self.shown.view], self.stage.target
        if self.shown.leak:
            point = self._point(self.shown.leak)
            view = clear_view(self.sight.stage, point)
            hold = np.stack([point - CLOSE, point + CLOSE])
        return Camera.fit(view, hold, *self.view_size)

    def _point(self, leak: int) -> Floats:
        """The way in (3,) [m] of the leak of this number."""
        return next(mark.point for mark in self.stage.leaks if mark.number == leak)

    def _seen_from(self) -> Camera:
        """The camera as it is now."""
        return seen_from(self.plotter.renderer.GetActiveCamera(), *self.view_size)

    def _frame(self, *_: Any) -> None:
        """Before a frame: the column follows the window's size, light and labels the camera."""
        size = self._window.GetSize()
        resized, self._size = size != self._size, size
        camera = self._seen_from()
        if camera != self._camera:
            self._camera = self.sight.camera = camera
            self._drawing.face(camera.view.axes)
            self._draw_labels()
            self._drawing.mark(self._marked())
            self._draw_drops()
            self.plotter.renderer.ResetCameraClippingRange()
        if resized:
            self._lay_out()

    def _lay_out(self) -> None:
        width, height = self._size
        share = self.view_size[0] / max(width, 1)
        self.plotter.renderer.SetViewport(0.0, 0.0, share, 1.0)
        self._overlay.SetViewport(0.0, 0.0, share, 1.0)
        self._column.SetViewport(share, 0.0, 1.0, 1.0)
        seen = frozenset(self._spots)
        words = np.asarray(draw_panel(height, self.stage, self.shown, self.told, seen))
        image = pv.ImageData(dimensions=(words.shape[1], words.shape[0], 1))
        image.point_data["words"] = np.ascontiguousarray(words[::-1]).reshape(-1, 3)
        self._mapper.SetInputData(image)

    def _draw_labels(self) -> None:
        width, height = self.view_size
        labels = []
        if self.shown.water:
            for leak in self.stage.leaks:
                what = Picked("leak", leak.number)
                labels.append(Label(str(leak.number), leak.point, BEHIND, what, filled=True))
            laps = self._laps()
            for lap in (lap for lap in self._short if lap.id in laps):
                words, what = f"{lap.missing * 1000:.0f} mm short", Picked("lap", lap.id)
                labels.append(Label(words, lap.edge.mean(axis=0), SHORT_LAP, what))
            labels += [Label(pool.words, pool.point, WATER, None) for pool in self.stage.pools]
        if not self._turning:
            spots = self.sight.look(Box(0, 0, width, height))[0]
            self._spots = {self._of_stage(number): spot for number, spot in spots.items()}
        for place, spot in self._spots.items():
            if self._is_in_sight(place):
                words = self._letter(place)
                aside = spot.half_width < LETTER * len(words)
                what = Picked("piece", place)
                labels.append(Label(words, spot.point, INK, what, aside=aside))
        points = np.array([label.point for label in labels]).reshape(-1, 3)
        self._labels.show(labels, self.sight.camera.project(points), width, height)

    def _letter(self, place: int) -> str:
        """What stands at a piece: its letter, and when pieces are apart also its turn."""
        letter = self.stage.pieces[place].letter
        if self.shown.apart and place in self.shown.dressed:
            return f"{letter} {ordinal(self.shown.dressed.index(place) + 1)}"
        return letter

    def _marked(self) -> list[Floats]:
        """Lines round what was asked about."""
        what = self.shown.picked
        if what is None:
            return []
        if what.kind == "piece":
            if what.number in self.shown.out_of_sight:
                return []
            shift = self._apart.get(what.number) if self.shown.apart else None
            lines = outlines(self.stage.pieces[what.number])
            return lines if shift is None else [line + shift for line in lines]
        if not self.shown.water:
            return []
        if what.kind == "leak":
            point = self._point(what.number)
            turn = np.linspace(0, 2 * np.pi, 33)[:, None]
            right, up, _ = self.sight.camera.view.axes
            return [point + RING * (np.cos(turn) * right + np.sin(turn) * up)]
        return [line.points for line in self._lines if line.what == what]

    def _draw_drops(self) -> None:
        at, behind = self._running.at(self.shown.time, only=self.shown.leak)
        if not self.shown.water or not (self.shown.playing or self.shown.time):
            at, behind = at[:0], behind[:0]
        self._drawing.drops(at, behind, self.sight.hidden(at))
