"""Levers: what can be changed, and how a value is rounded."""

from __future__ import annotations

import pickle
import re
from dataclasses import replace

import pytest

from meshes.spec import USUAL_ORDER
from scenes.assemble import assemble
from scenes.cures.cure import change_words
from scenes.cures.keys import changed_keys
from scenes.cures.lever import Lever, Work
from scenes.cures.levers import levers_of
from scenes.cures.made import Made
from scenes.cures.measures import MEASURES, as_usual
from scenes.cures.metal import cut_anew
from scenes.cures.right import RIGHT, righting
from scenes.cures.search import GIVES_RIGHT, by_value
from scenes.faults.apply import with_faults
from scenes.faults.catalogue import CATALOGUE
from scenes.faults.fault import Asked, OnParts
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
    left under its least amount. Where that isn't enough it goes on with the other side's."""
    thing = made("cottage", "cover too narrow@right=60")
    assert "side cover" not in [lever.words for lever in levers_of(thing)]
    lever = named(thing, "side cover at the right")
    assert (lever.start, lever.right, lever.far) == pytest.approx((0.090, 0.150, 0.300))
    assert lever.put(thing, 0.120).faults == ("cover too narrow@right=30.0",)
    assert lever.put(thing, 0.150).faults == ()
    assert lever.outward(0.1441) == lever.right
    assert change_words(lever, 0.150) == "side cover at the right 90 -> 150 mm"
    assert lever.outward(0.1521) == pytest.approx(0.155)
    wider = lever.put(thing, 0.195)
    assert (wider.faults, wider.detail.sides.cover) == ((), pytest.approx(0.195))
    told = "side cover at the right 90 -> 195 mm, the same at the left"
    assert change_words(lever, 0.195) == told


def test_a_change_that_is_less_than_usual_says_so() -> None:
    """The least that stops a leak may be less than a roofer makes: what is usual is told until it is reached,
    as the cottage's own file leaves it to the builder."""
    narrow = named(made("cottage", "apron too narrow=50"), "apron past the stack")
    assert change_words(narrow, 0.005) == "apron past the stack 0 -> 5 mm (50 is usual)"
    assert change_words(narrow, 0.050) == "apron past the stack 0 -> 50 mm"
    side = named(made("cottage", "cover too narrow@left=60"), "side cover at the left")
    assert change_words(side, 0.105) == "side cover at the left 90 -> 105 mm (150 is usual)"
    high = named(made("cottage", "covering starts too high"), "gutter left open below the covering")
    assert (
        change_words(high, 0.100)
        == "gutter left open below the covering 190 -> 100 mm (40 is usual)"
    )
    assert change_words(high, 0.040) == "gutter left open below the covering 190 -> 40 mm"


@pytest.mark.parametrize("name", names())
def test_what_is_usual_is_what_a_bare_file_has(name: str) -> None:
    """Invariance: of a detail with its usual measures, the usual ones are its own."""
    detail = as_usual(made(name).detail)
    for measure in MEASURES:
        if measure.when(detail):
            assert measure.usual(detail) == pytest.approx(measure.get(detail), abs=1e-12)


def test_a_split_is_mended() -> None:
    """Derived: a fault of a made part is there or isn't; mending it is less work than a piece anew."""
    thing = made("cottage", "split in a bend@right")
    lever = named(thing, "weld, solder or patch the split in the bend at the right")
    assert (lever.whole, lever.work, lever.known) == (True, Work.MEND, True)
    assert lever.put(thing, lever.far).faults == ()


def test_what_puts_right_says_what_to_do() -> None:
    """Contract: every row is of a fault that there is, and every fault of made parts has one; what lies
    under the covering can't be mended without lifting it (practice)."""
    faults = {fault.name: fault for fault in CATALOGUE}
    assert RIGHT.keys() <= faults.keys()
    assert {name for name, fault in faults.items() if isinstance(fault, OnParts)} <= RIGHT.keys()
    for name in RIGHT:
        place = (*faults[name].places, "")[0]
        words, work = righting(Asked(faults[name], place, faults[name].usual))
        assert re.search(rf"at the {place}\b" if place else "^lay a tilt fillet", words)
        assert "{" not in words
        hidden = name.startswith(("underlay", "soaker", "tilt fillet"))
        assert (work is Work.COVERING) == hidden


@pytest.mark.parametrize(("place", "where"), [("front", "in front of"), ("back", "behind")])
def test_a_cover_flashing_is_hung_over_its_upstand(place: str, where: str) -> None:
    """Derived: the lever is there where it hangs behind, and the detail is then as the file has it."""
    thing = made("stepped", f"cover flashing tucked behind@{place}")
    over = named(thing, f"hang the cover flashing down over the upstand {where} the stack")
    assert over.work is Work.DRESS
    assert over.put(thing, over.far).detail == load("stepped").detail


@pytest.mark.parametrize(
    ("fault", "anew"),
    [
        ("soaker tucked under", ()),
        ("step tucked under", ()),
        ("soaker left out", ("left soaker 2",)),
    ],
)
def test_what_is_laid_right_is_not_cut_anew(fault: str, anew: tuple[str, ...]) -> None:
    """Practice: a piece that lies wrong is taken up and laid again; only one that is missing is cut."""
    thing = made("stepped", f"{fault}@left")
    (right,) = [lever for lever in levers_of(thing) if lever.known]
    assert cut_anew(thing.assembly(), right.put(thing, right.far).assembly(), GIVES_RIGHT) == anew


def test_a_fault_without_words_is_put_right_by_its_name() -> None:
    """Contract: nothing hangs on a row of words being there."""
    fault = next(fault for fault in CATALOGUE if fault.name == "fold over too short")
    words, work = righting(Asked(fault, "left", fault.usual))
    assert (words, work) == ("put right at the left: fold over too short", Work.ANEW)


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
