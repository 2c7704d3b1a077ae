"""Levers: what can be changed, and how a value is rounded."""

from __future__ import annotations

import pickle
from dataclasses import replace

import pytest

from meshes.spec import USUAL_ORDER
from scenes.assemble import assemble
from scenes.cures.keys import changed_keys
from scenes.cures.lever import Lever, Work
from scenes.cures.levers import levers_of
from scenes.cures.made import Made
from scenes.cures.measures import MEASURES
from scenes.cures.search import by_value
from scenes.faults.apply import with_faults
from scenes.scene import load, names


def made(name: str, *faults: str) -> Made:
    """What a scene's pieces are made to."""
    scene = with_faults(load(name), faults)
    return Made.of(scene, assemble(scene))


def named(thing: Made, words: str) -> Lever:
    """The one lever that is called so."""
    (found,) = [lever for lever in levers_of(thing) if lever.words == words]
    return found


@pytest.mark.parametrize(
    ("start", "far", "value", "rounded"),
    [
        (0.150, 0.300, 0.1671, 0.170),
        (0.150, 0.300, 0.170, 0.170),
        (0.150, 0.300, 0.299, 0.300),
        (0.060, 0.010, 0.0423, 0.040),
        (0.060, 0.012, 0.0121, 0.012),
    ],
)
def test_rounding(start: float, far: float, value: float, rounded: float) -> None:
    """Exact: a cure is rounded to whole steps away from what is there, and never past the far end."""
    lever = Lever(
        words="x", work=Work.ANEW, start=start, far=far, step=0.005, put=lambda thing, _: thing
    )
    assert lever.outward(value) == pytest.approx(rounded, abs=1e-12)
    following = lever.beyond(rounded)
    if rounded == far:
        assert following is None
    else:
        assert following == pytest.approx(rounded + (0.005 if far > start else -0.005))


def test_one_value_for_targets_that_need_about_as_much() -> None:
    """Exact: of values a step apart the farther serves both; others stay, each with all targets that it
    is enough for; the same downward."""
    up = Lever(
        words="x", work=Work.ANEW, start=0.1, far=0.3, step=0.005, put=lambda thing, _: thing
    )
    assert by_value(up, {0: 0.240, 1: 0.245, 2: 0.170}) == [(0.170, (2,)), (0.245, (0, 1, 2))]
    down = replace(up, start=0.1, far=0.01)
    assert by_value(down, {0: 0.06, 1: 0.03, 2: 0.06}) == [(0.06, (0, 2)), (0.03, (0, 1, 2))]
    assert by_value(up, {}) == []


@pytest.mark.parametrize("name", names())
def test_every_measure_goes_in_and_comes_out(name: str) -> None:
    """Invariance: a measure that is put into a detail is read off it again; one that is put in as it is
    changes nothing."""
    thing = made(name)
    assert thing.detail is not None
    for measure in MEASURES:
        lever = measure.lever(thing)
        if lever is None:
            continue
        middle = (lever.start + lever.far) / 2
        assert measure.get(lever.put(thing, middle).detail) == pytest.approx(middle, abs=1e-9)
        again = lever.put(thing, lever.start).detail
        assert measure.get(again) == pytest.approx(lever.start, abs=1e-9)


def test_a_right_scene_has_nothing_to_put_right() -> None:
    """Derived: no order to turn, nothing to point or clear; only measures and other ways to make it."""
    assert all(lever.work >= Work.ANEW for lever in levers_of(made("cottage")))


def test_what_was_done_wrong_can_be_put_right() -> None:
    """Each fault has a lever that takes it away again, and the detail is then as the file has it."""
    right = load("cottage").detail
    thing = made("cottage", "mortar fallen out", "return tucked under@left")
    pointed = named(thing, "point the chases").put(thing, 1.0)
    order = named(thing, "dress the left side flashing over the front apron").put(pointed, 1.0)
    assert order.detail == right
    assert order.detail.order == USUAL_ORDER


def test_a_fault_at_one_side_is_put_right_there_alone() -> None:
    """The lever is that side's measure; the measure of both sides is none beside it, nor is a fault
    left under its least amount."""
    thing = made("cottage", "cover too narrow@right=60")
    assert "side cover" not in [lever.words for lever in levers_of(thing)]
    lever = named(thing, "side cover at the right")
    assert (lever.start, lever.far) == pytest.approx((0.090, 0.150))
    assert lever.put(thing, 0.120).faults == ("cover too narrow@right=30.0",)
    assert lever.put(thing, 0.150).faults == ()
    assert lever.outward(0.1441) == lever.far


def test_a_split_is_mended() -> None:
    """Derived: a fault of a made part is there or isn't; mending it is less work than a piece anew."""
    thing = made("cottage", "split in a bend@right")
    lever = named(thing, "put right: split in a bend, right")
    assert (lever.whole, lever.work) == (True, Work.MEND)
    assert lever.put(thing, lever.far).faults == ()


def test_wider_covers_take_the_gutter_with_them() -> None:
    """A gutter that reached over the covers' outer edges still does, whether its file says how far or
    not; one cut short stays so."""
    thing = made("cottage", "cover too narrow=60")
    wider = named(thing, "side cover").put(thing, 0.200).detail
    assert wider.gutter.beyond_stack is not None
    assert wider.gutter.beyond_stack == pytest.approx(0.200 + 0.013, abs=0.003)
    short = made("cottage", "gutter too short")
    assert short.detail.gutter.beyond_stack == named(short, "side cover").put(
        short, 0.200
    ).detail.gutter.beyond_stack  # fmt: skip


def test_the_keys_of_a_change() -> None:
    """Each change is told as the scene's file has it; of one lever, one key as a rule."""
    thing = made("cottage")
    wider = named(thing, "side cover").put(thing, 0.190)
    assert changed_keys(thing.detail, wider.detail) == {("sides", "cover_mm"): (150.0, 190.0)}
    longer = named(thing, "gutter past the stack").put(thing, 0.250)
    assert changed_keys(thing.detail, longer.detail) == {
        ("gutter", "beyond_stack_mm"): ("auto", 250.0)
    }


def test_what_is_made_goes_to_another_process() -> None:
    """Contract of the processes: faults go as words, and build the same parts there."""
    thing = made("cottage", "split in a bend@right")
    there = pickle.loads(pickle.dumps(thing)).assembly()
    for one, other in zip(thing.assembly(), there, strict=True):
        assert one.name == other.name
        assert one.vertices.tobytes() == other.vertices.tobytes()
