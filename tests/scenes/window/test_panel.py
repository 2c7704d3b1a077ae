"""The column of words: nothing runs off it, nothing stands on anything else, and what matters is there."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from scenes.label_layout import Box
from scenes.picture_page import Page
from scenes.run import stage_of
from scenes.stage import Stage
from scenes.window import panel
from scenes.window.figures import Told
from scenes.window.keys import LIST
from scenes.window.panel import WIDTH, draw_panel, now
from scenes.window.shown import Shown
from tests.scenes.window.leaking import leaking

LONG = Told(
    "A very long heading " * 6,
    tuple("Many words of one reason, all the same. " * 9 for _ in range(5)),
)


def _shown(stage: Stage) -> Shown:
    return Shown(len(stage.views), len(stage.leaks), tuple(range(4)))


def _written(
    stage: Stage, told: Told | None, height: int, monkeypatch: pytest.MonkeyPatch, **changed: object
) -> list[tuple[str, Box]]:
    """Every piece of text and where it stands [px]."""
    seen: list[tuple[str, Box]] = []

    class Listening(Page):
        def text(self, x, y, words, size, *args, anchor="lm", bold=False, **more):
            width = self.measure(words, size) * (1.03 if bold else 1.0)
            left = x - width / 2 if anchor == "mm" else x
            # Letters without what hangs under the line are 0.72 of their size high.
            seen.append((words, Box(left, y - 0.4 * size, left + width, y + 0.4 * size)))
            super().text(x, y, words, size, *args, anchor=anchor, bold=bold, **more)

    monkeypatch.setattr(panel, "Page", Listening)
    picture = draw_panel(height, stage, replace(_shown(stage), **changed), told, frozenset({0, 1}))
    assert picture.size == (WIDTH, height)
    assert len(np.unique(np.asarray(picture).reshape(-1, 3), axis=0)) > 20
    return seen


@pytest.mark.parametrize("height", [640, 720, 900, 1200])
@pytest.mark.parametrize("told", [None, LONG, Told("Lap 1", ("Short.",))])
def test_no_words_overlap_or_run_off(
    height: int, told: Told | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Derived: boxes of all texts, by the font's own measures, are apart and within the column."""
    stage = stage_of(leaking())
    peeled = {"peeled": 2, "leak": 1, "turned": True, "slow": 16}
    written = _written(stage, told, height, monkeypatch, **peeled)
    for words, box in written:
        assert box.inside(Box(0, 0, WIDTH, height)), words
    for (one, first), (two, second) in combinations(written, 2):
        assert not first.overlaps(second, -0.5), (one, two)


def test_words_without_room_are_cut_and_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: a low window has no room for five long reasons, a high one has."""
    stage = stage_of(leaking())
    for height, cut in ((640, True), (720, True), (2000, False)):
        words = [text for text, _ in _written(stage, LONG, height, monkeypatch)]
        assert (panel.MORE in words) == cut
        told = " ".join(words).count("Many words of one reason,")
        assert (told == 45) == (not cut)


def test_many_pieces_with_long_names_still_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: what has no room is counted, and those that are seen come first."""
    stage = stage_of(leaking())
    pieces = tuple(
        replace(
            stage.pieces[0], letter=f"A{k}", name=f"piece {k} with a long name at the back left"
        )
        for k in range(40)
    )
    written = _written(replace(stage, pieces=pieces), LONG, 800, monkeypatch)
    for (one, first), (two, second) in combinations(written, 2):
        assert not first.overlaps(second, -0.5), (one, two)
    words = [text for text, _ in written]
    shown = [text for text in words if text.startswith("A") and text[1:].isdigit()]
    assert shown[:2] == ["A0", "A1"]
    assert f"and {40 - len(shown)} more pieces" in words


def test_every_key_letter_and_verdict_is_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: keys with their words, the letter of each piece, the views by number."""
    stage = stage_of(leaking())
    words = [text for text, _ in _written(stage, None, 900, monkeypatch)]
    for name, what in LIST:
        assert name in words
        assert what in words
    assert {piece.letter for piece in stage.pieces} <= set(words)
    whole = " ".join(words)
    assert stage.verdict in whole
    for number, view in enumerate(stage.views, start=1):
        assert f"{number} {view.name}" in whole


def test_what_is_shown_just_now_in_words() -> None:
    """Exact: one line each for the view, the water and what is taken off."""
    stage = stage_of(leaking())
    shown = _shown(stage)
    assert now(shown, stage) == [
        "Seen from: eaves.",
        "Water stands still; it runs 2 times slower than in truth.",
    ]
    later = replace(shown, leak=1, playing=True, slow=1, peeled=3)
    assert now(later, stage)[1:] == [
        "Water runs as fast as in truth.",
        "Taken off, the last dressed first: 3 of 4.",
    ]
    assert "Close on leak 1" in now(later, stage)[0]
    assert now(replace(shown, apart=True), stage)[1].startswith("Pieces apart")
    assert "No leak" in now(replace(shown, leaks=0), stage)[0]
