"""Bends of one kind told together: waves, a round wall and its tabs; others one by one."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from math import cos, hypot, radians

import numpy as np
import pytest

from scenes.cutting.cut_list import CutList, cut_list
from scenes.cutting.drawing import drawing_of
from scenes.cutting.folds import Fold, is_hem
from scenes.cutting.runs import in_runs, joints_together, offsets_of, runs_of, wave_of
from scenes.cutting.say_pattern import bend_rows
from scenes.scene import load, names


@cache
def found(name: str) -> CutList:
    return cut_list(load(name))


@cache
def waves() -> CutList:
    """The profiled scene in zinc, which can't be stretched over the waves, so that each is folded."""
    scene = load("profiled")
    assert scene.detail is not None
    return cut_list(replace(scene, detail=replace(scene.detail, material="zinc")))


def fold(x: float, angle: float, *, names: tuple[str, str] = ("a", "b"), long: float = 0.2) -> Fold:
    """An upright bend line at x [m]."""
    return Fold(np.array([[x, 0.0], [x, long]]), radians(angle), names, None)


def test_a_wave_is_found_from_where_the_lines_are() -> None:
    """Exact: up and down by turns, 30 and 50 mm apart: one wave in 80 mm, whatever order they come in; not
    when one line is 1 mm off, when all turn up, or when they are too few."""
    lines = [
        fold(0.08 * k + off, angle) for k in range(5) for off, angle in ((0.0, 40), (0.03, -40))
    ]
    run = in_runs(lines[::-1])
    assert runs_of(run) == [(0, 9)]
    assert wave_of(run) == pytest.approx(0.08)
    offsets = offsets_of(run)
    assert offsets is not None
    assert np.abs(offsets).tolist() == pytest.approx(
        [0.08 * k + d for k in range(5) for d in (0, 0.03)]
    )
    moved = [*lines[:4], fold(0.161, 40), *lines[5:]]
    assert wave_of(in_runs(moved)) is None
    assert wave_of([fold(0.05 * k, 40) for k in range(8)]) is None
    assert runs_of(in_runs(lines[:6])) == [(k, k) for k in range(6)]


def test_only_bends_of_one_kind_are_together() -> None:
    """Derived: of other names, another angle or another length they are told by themselves."""
    round_ = [fold(0.03 * k, -11.25) for k in range(5)]
    others = [fold(0.5, -85), fold(0.6, -11.25, names=("a", "c")), fold(0.7, -11.25, long=0.05)]
    run = in_runs([*others, *round_])
    assert runs_of(run) == [(0, 0), (1, 1), (2, 2), (3, 7)]


def test_waves_of_a_profiled_covering_are_a_few_rows() -> None:
    """Derived from the profile: along the sheet a wave is 0.6 of its pitch and two flanks, each 0.2 of the
    pitch wide and the depth high, square to the leg; every bend has a number in one row and one only."""
    detail = load("profiled").detail
    assert detail is not None
    pattern = max(waves().patterns, key=lambda one: len(one.numbered))
    rows = bend_rows(pattern)
    assert len(pattern.numbered) > 70
    assert len(rows) < 8
    told = [number for mark, _ in rows for number in _numbers(mark)]
    assert told == list(range(1, len(pattern.numbered) + 1))
    runs = [pattern.numbered[a : b + 1] for a, b in runs_of(pattern.numbered)]
    lengths = [wave for run in runs if len(run) > 1 and (wave := wave_of(run)) is not None]
    pitch, depth = detail.roof.wave_pitch, detail.roof.wave_depth
    flank = 2 * hypot(0.2 * pitch, depth * cos(radians(26.57)))
    assert lengths == pytest.approx([0.6 * pitch + flank] * 2, abs=1e-4)
    assert any("bends in waves, one in 171" in words for _, words in rows)


def test_every_line_stays_on_the_full_size_pattern() -> None:
    """Derived: at full size every line has its own text; on the page one a run."""
    pattern = max(waves().patterns, key=lambda one: len(one.numbered))
    strokes = [
        sum(one.layer in ("bend up", "bend down") for one in drawing_of(pattern, together=how).strokes)
        for how in (False, True)
    ]  # fmt: skip
    assert strokes == [len(pattern.folds)] * 2
    texts = [
        sum("°" in text.words for text in drawing_of(pattern, together=how).texts)
        for how in (False, True)
    ]
    assert texts[0] > 70
    assert texts[1] == len(bend_rows(pattern))


def test_a_round_stack_has_rows_that_say_where_each_line_is() -> None:
    """Derived: the places in words are the lines' own, to the whole millimetre."""
    pattern = next(one for one in found("flue").patterns if len(one.numbered) > 40)
    assert len(bend_rows(pattern)) < 10
    words = bend_rows(pattern)[0][1]
    start, end = runs_of(pattern.numbered)[0]
    told = [int(one) for one in re.findall(r"\d+", words.split("long, ")[1])]
    own = sorted(round(line.line[0, 0] * 1000) for line in pattern.numbered[start : end + 1])
    assert told == own
    joints = joints_together(pattern.worked)
    assert sum(len(some) for some in joints) == len(pattern.worked)
    assert max(len(some) for some in joints) > 10


@pytest.mark.parametrize("name", [name for name in names() if name != "flue"])
def test_other_scenes_have_each_bend_by_itself(name: str) -> None:
    """Derived: no scene but the round one has so many bends of a kind."""
    for one in found(name).patterns:
        assert all(a == b for a, b in runs_of(one.numbered))


def test_a_hem_lies_beside_itself() -> None:
    """Exact: two lines 1 mm apart that turn right over are a hem; on one line, one after the other, as at
    the two ends of a gutter, they are two bends, and so they are where the second lies further along."""
    one = fold(0.1, -89)
    assert is_hem(one, fold(0.101, -91))
    assert not is_hem(one, fold(0.1, -91))
    further = replace(one, line=one.line + np.array([0.001, 0.5]))
    assert not is_hem(one, further)
    assert not is_hem(one, fold(0.101, 91))


def _numbers(mark: str) -> list[int]:
    first, _, last = mark.partition("-")
    return list(range(int(first), int(last or first) + 1))
