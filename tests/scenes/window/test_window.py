"""The window itself, driven off screen: keys, clicks and the clock, and the picture that follows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from meshes.parts import Role
from scenes import colours, opengl
from scenes.label_layout import Box
from scenes.window.live import Hands
from scenes.window.panel import WIDTH
from scenes.window.shown import Picked
from scenes.window.window import Window
from tests.scenes.window.leaking import SIZE, opened

pytestmark = pytest.mark.skipif(opengl.problem() is not None, reason=str(opengl.problem()))


@pytest.fixture(scope="module")
def shared() -> Iterator[Window]:
    with opened() as window:
        yield window


@pytest.fixture
def window(shared: Window) -> Window:
    """As at the beginning."""
    shared.press("h")
    return shared


def _picture(window: Window) -> np.ndarray:
    """The view without the column (height, width, 3)."""
    window.redraw()
    whole = np.asarray(window.plotter.screenshot(return_img=True)).astype(int)
    assert whole.shape[:2] == (SIZE[1], SIZE[0])
    return whole[:, : SIZE[0] - WIDTH, :3]


def _differs(one: np.ndarray, two: np.ndarray) -> float:
    """Share of the pixels that differ."""
    return float((np.abs(one - two).max(axis=2) > 24).mean())


def _seen(window: Window, name: str) -> tuple[float, float]:
    """A pixel of the view at which a piece is seen, away from labels, lines and edges."""
    picture = _picture(window)
    place = next(k for k, piece in enumerate(window.stage.pieces) if piece.name == name)
    grid = window.sight.look(Box(0, 0, *window.view_size))[1]
    mine = grid[grid[:, 2] == place, :2]
    for x, y in mine.tolist():
        around = picture[int(y) - 3 : int(y) + 4, int(x) - 3 : int(x) + 4].reshape(-1, 3)
        plain = len(around) and (around == around[0]).all()
        if plain and window.what_is_at(x, y) == Picked("piece", place):
            return x, y
    raise AssertionError(f"{name} is nowhere seen")


def test_it_is_not_blank_and_shows_leaks_and_short_laps(window: Window) -> None:
    """Derived: many colours, none on more than half of it, and the strong ones that mean something."""
    picture = _picture(window)
    found, counts = np.unique(picture.reshape(-1, 3), axis=0, return_counts=True)
    assert len(found) > 200
    assert counts.max() < picture.shape[0] * picture.shape[1] / 2
    for colour in (colours.BEHIND, colours.SHORT_LAP):
        assert (np.abs(picture - np.array(colour)).max(axis=2) < 40).sum() > 20
    assert (picture[:, :, 2] - picture[:, :, 0] > 90).sum() > 1000


def test_stepping_to_a_leak_goes_close_and_tells_it(window: Window) -> None:
    """Derived: another picture, the leak near its middle, and the figures of the findings."""
    before = _picture(window)
    window.press("n")
    assert _differs(before, _picture(window)) > 0.3
    leak = window.figures.found["leaks"][0]
    told = window.told
    assert told is not None
    assert leak["why"] in told.rows
    assert any(f"{100 * leak['share']:.2f} %" in row for row in told.rows)
    at = window.sight.camera.project(window.stage.leaks[0].point[None])[0]
    assert np.abs(at - np.array(window.view_size) / 2).max() < 2
    window.press("h")
    assert _differs(before, _picture(window)) < 0.001


def test_peeling_changes_the_picture_and_putting_back_brings_it_back(window: Window) -> None:
    """Derived: the last dressed piece is gone, and comes back."""
    before = _picture(window)
    window.press("t")
    assert _differs(before, _picture(window)) > 0.003
    window.press("r")
    assert _differs(before, _picture(window)) < 0.001


@pytest.mark.parametrize("key", ["a", "c", "2", "5"])
def test_keys_that_change_the_picture(window: Window, key: str) -> None:
    """Derived: pieces apart, the covering seen through, and other sides are other pictures."""
    before = _picture(window)
    window.press(key)
    assert _differs(before, _picture(window)) > 0.05


def test_water_moves_while_it_runs_and_stands_when_stopped(window: Window) -> None:
    """Derived: frames differ while it runs, each from the one before; stopped, they don't."""
    window.press("space")
    first = _picture(window)
    window.tick(0.5)
    second = _picture(window)
    assert 0.0005 < _differs(first, second) < 0.2
    window.press("space")
    third = _picture(window)
    window.tick(0.5)
    assert _differs(third, _picture(window)) == 0


@pytest.mark.parametrize(
    ("name", "key"),
    [("front apron", "1"), ("right side flashing", "4"), ("covering", "1"), ("stack", "2")],
)
def test_a_click_on_a_piece_tells_it(window: Window, name: str, key: str) -> None:
    """Derived: the pixel's colour there is a shade of the piece's own, by the ratio of its parts."""
    window.press(key)
    x, y = _seen(window, name)
    piece = next(piece for piece in window.stage.pieces if piece.name == name)
    red, green, blue = (float(value) for value in _picture(window)[int(y), int(x)])
    tint = np.array(piece.colour) / piece.colour[0]
    assert np.array([red, green, blue]) / red == pytest.approx(tint, abs=0.03)
    window.click(x, y)
    assert window.told is not None
    assert window.told.heading == f"{piece.letter}: {name.capitalize()}"


def test_a_hidden_piece_is_seen_no_more_and_clicks_go_through_it(window: Window) -> None:
    """Derived: hiding the covering lets a click meet what lies under it."""
    x, y = _seen(window, "covering")
    window.click(x, y)
    window.press("x")
    below = window.what_is_at(x, y)
    assert below is None or window.stage.pieces[below.number].role is not Role.COVERING
    window.press("x")
    assert window.what_is_at(x, y) == window.shown.picked


def test_a_click_through_a_seen_through_covering(window: Window) -> None:
    """Derived: what shows through is what is meant."""
    x, y = _seen(window, "covering")
    window.press("c")
    found = window.what_is_at(x, y)
    assert found is None or window.stage.pieces[found.number].role is not Role.COVERING


def test_paths_laps_and_leaks_are_met_where_they_are_drawn(window: Window) -> None:
    """Derived: at their own projected points, with what is picked marked on the picture."""
    before = _picture(window)
    camera = window.sight.camera
    x, y = camera.project(window.stage.leaks[0].point[None])[0]
    assert window.what_is_at(x, y) == Picked("leak", 1)
    found = set()
    for line in window._lines[::4]:
        flat = camera.project(line.points)
        middle = flat.mean(axis=0) if len(flat) == 2 else flat[len(flat) // 2]
        if (middle > 0).all() and (middle < window.view_size).all():
            what = window.what_is_at(*middle)
            found |= {what} if what else set()
    assert {what.kind for what in found} >= {"path", "lap"}
    path = next(what for what in found if what.kind == "path")
    window._change(window.shown.pick(path))
    assert _differs(before, _picture(window)) > 0.0005


def test_everything_hidden_is_an_empty_view(window: Window) -> None:
    """Derived: no piece is left to pick, and nothing fails."""
    everything = frozenset(range(len(window.stage.pieces)))
    window._change(replace(window.shown, hidden=everything))
    kinds = {
        getattr(window.what_is_at(x, y), "kind", None)
        for x in range(5, 400, 80)
        for y in range(5, 500, 80)
    }
    assert "piece" not in kinds


def _send(window: Window, name: str, at: tuple[int, int] = (10, 10)) -> None:
    """A key as the graphics library hands it on, with its letter, at a place from the lower left."""
    iren = window.plotter.iren.interactor
    letter = name if len(name) == 1 else "\0"
    iren.SetEventInformation(*at, 0, 0, letter, 1, name)
    iren.InvokeEvent("KeyPressEvent")
    iren.InvokeEvent("CharEvent")


def test_real_keys_and_the_mouse_reach_it() -> None:
    """Derived: events of the library's own; its keys e, w, s, p, r, f, 3 and j do nothing of theirs."""
    with opened() as window:
        Hands(window)
        view = window.plotter.renderer
        solid = [actor.prop.style for actor in view.actors.values()]
        for name in ("w", "e", "j", "3", "p", "u", "l", "i"):
            _send(window, name, (2, 2))
        assert [actor.prop.style for actor in view.actors.values()] == solid
        assert not window.plotter.render_window.GetStereoRender()
        assert window.shown.view == 2
        _send(window, "h")
        _send(window, "n")
        assert window.shown.leak == 1
        _send(window, "h")
        window.redraw()
        x, y = _seen(window, "front apron")
        spot = (int(x), window.view_size[1] - 1 - int(y))
        _send(window, "p", spot)
        assert window.told is not None
        assert "Front apron" in window.told.heading
        _send(window, "h")
        iren = window.plotter.iren.interactor
        iren.SetEventInformation(*spot, 0, 0, "\0", 0, None)
        iren.InvokeEvent("LeftButtonPressEvent")
        iren.InvokeEvent("LeftButtonReleaseEvent")
        assert window.told is not None
        assert "Front apron" in window.told.heading
        assert not window.shown.turned
        before = window.sight.camera.view
        iren.InvokeEvent("LeftButtonPressEvent")
        iren.SetEventInformation(spot[0] + 80, spot[1] + 20, 0, 0, "\0", 0, None)
        iren.InvokeEvent("MouseMoveEvent")
        iren.InvokeEvent("LeftButtonReleaseEvent")
        assert window.shown.turned
        assert window.sight.camera.view != before
        assert "Front apron" in window.told.heading


def test_the_column_follows_the_windows_size() -> None:
    """Derived: a wider window widens the view, not the column."""
    with opened((900, 640)) as window:
        assert window.view_size == (900 - WIDTH, 640)
        window.plotter.window_size = [1200, 700]
        window.redraw()
        assert window.view_size == (1200 - WIDTH, 700)
        assert window.sight.camera.width == 1200 - WIDTH
        whole = np.asarray(window.plotter.screenshot(return_img=True)).astype(int)
        assert (whole[:, 1200 - WIDTH + 4, :3].min(axis=1) > 230).mean() > 0.9
