"""Faults put into scenes: several at once, at one side alone, and where a scene has no room for them."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from scenes.assemble import assemble
from scenes.faults.apply import detail_made, told, with_faults
from scenes.scene import read
from sim.surface import Surface
from tests.meshes.crossings import cuts
from tests.scenes.faults.wrongly import (
    X,
    Y,
    changed,
    height,
    highest,
    in_plan,
    lowest,
    right,
    scene,
    volume,
    wrong,
)

LEFT, RIGHT = "left side flashing", "right side flashing"


def test_nothing_asked_for_is_the_scene_itself() -> None:
    """Invariance."""
    cottage = scene("cottage")
    assert with_faults(cottage, []) is cottage
    assert changed(assemble(cottage), right("cottage")) == set()


def test_a_scene_keeps_its_measures_and_carries_its_faults() -> None:
    """The detail stays as the file has it; `assemble` gets it wrong. More can be added."""
    cottage = scene("cottage")
    narrow = with_faults(cottage, ["cover too narrow=40"])
    assert narrow.detail == cottage.detail
    assert changed(assemble(narrow), wrong("cottage", "cover too narrow=40")) == set()
    both = with_faults(narrow, ["no welt"])
    assert [one.label for one in both.faults] == ["cover too narrow", "no welt"]
    with pytest.raises(SceneError, match="asked for once"):
        with_faults(narrow, ["cover too narrow=50"])


def test_several_at_once() -> None:
    """Measures all round, measures at each side, and cut parts, together: each does what it does alone."""
    faults = (
        "cover too narrow@left=60", "no turn-in@right", "cover too narrow@right=30", "no welt",
        "nail through the cover@right", "underlay not turned up@front",
    )  # fmt: skip
    was, now = right("cottage"), wrong("cottage", *faults)
    parts = {"stack", "underlay", LEFT, RIGHT, "back gutter", "upper underlay"}
    assert changed(was, now) == parts
    assert lowest(LEFT, X)(now) - lowest(LEFT, X)(was) == pytest.approx(60, abs=0.05)
    assert highest(RIGHT, X)(now) - highest(RIGHT, X)(was) == pytest.approx(-30, abs=0.05)
    bare = wrong("cottage", "no turn-in@right", "cover too narrow@right=30")
    assert in_plan(RIGHT)(now) - in_plan(RIGHT)(bare) == pytest.approx(-25, abs=0.05)


def test_the_order_asked_in_does_not_matter_here() -> None:
    """Invariance: measures that don't touch each other."""
    one = wrong("cottage", "no welt", "cover too narrow@left", "split in a bend@front")
    other = wrong("cottage", "split in a bend@front", "cover too narrow@left", "no welt")
    assert changed(one, other) == set()


def test_a_gutter_in_the_place_of_a_saddle_can_be_got_wrong_too() -> None:
    """Each fault is looked at in what those before it have made."""
    now = wrong("wide", "saddle left out", "leaves in the gutter@left")
    assert "leaves, left" in [part.name for part in now]
    with pytest.raises(SceneError, match="has a saddle behind it, no level gutter"):
        wrong("wide", "leaves in the gutter@left")


def test_steps_in_one_piece_have_no_faults_of_single_steps() -> None:
    """By its own rule: where there would be too many parts the steps are one strip a side."""
    base = scene("soakers")
    assert base.detail is not None
    deep = replace(base.detail, stack=replace(base.detail.stack, depth=1.5, height=3.0))
    for fault in ("step left out", "step tucked under", "step behind the soakers"):
        with pytest.raises(SceneError, match="has no separate steps at its left"):
            assemble(with_faults(replace(base, detail=deep), [fault]))


# Not on `turned`: its two sides meet at the lower corner, and one lies over the other.
SIDED = (
    ("cottage", "return tucked under"), ("cottage", "side over the gutter"), ("cottage", "no turn-in"),
    ("cottage", "turn-in too shallow"), ("cottage", "upstand too low"), ("cottage", "cover too narrow"),
    ("cottage", "return missing"), ("cottage", "return too short"), ("cottage", "leaves in the gutter"),
    ("cottage", "side stopped short"), ("cottage", "split in a bend"), ("cottage", "lifted edge"),
    ("cottage", "nail through the cover"), ("cottage", "underlay not turned up"),
    ("terrace", "fin folded the wrong way"), ("terrace", "fold over too short"),
    ("slit", "apron over the side"), ("soakers", "soaker too narrow"), ("soakers", "soaker upturn too low"),
    ("soakers", "step lap too short"), ("soakers", "soaker left out"), ("soakers", "step left out"),
    ("soakers", "soaker tucked under"), ("soakers", "step tucked under"),
    ("soakers", "step behind the soakers"), ("wide", "no turn-in"),
)  # fmt: skip


@pytest.mark.parametrize(("name", "fault"), SIDED)
def test_left_is_the_mirror_image_of_right(name: str, fault: str) -> None:
    """Invariance: what changes, and how far each part then reaches and how large it is, mirrored."""
    base, left, other = right(name), wrong(name, f"{fault}@left"), wrong(name, f"{fault}@right")
    swapped = {_unnumbered(_mirrored(name)) for name in changed(base, left)}
    assert swapped == {_unnumbered(name) for name in changed(base, other)}
    for part in left:
        twin = _mirrored(part.name)
        if part.name.startswith("corner patch") or part.role is Role.STACK:
            continue
        assert lowest(part.name, X)(left) == pytest.approx(-highest(twin, X)(other), abs=1)
        for axis in (Y, 2):
            assert highest(part.name, axis)(left) == pytest.approx(
                highest(twin, axis)(other), abs=1
            )
        assert in_plan(part.name)(left) == pytest.approx(in_plan(twin)(other), rel=0.02)


def _mirrored(name: str) -> str:
    words = {"left": "right", "right": "left"}
    return re.sub("left|right", lambda word: words[word[0]], name)


def _unnumbered(name: str) -> str:
    return name.rstrip("0123456789 ") if "patch" in name else name


def test_one_side_alone_opens_its_own_chase_alone() -> None:
    """Exact geometry: the chases of both sides are alike, so one is half of what both are."""
    was, both = volume("stack")(right("cottage")), volume("stack")(_both_sides())
    one = volume("stack")(wrong("cottage", "no turn-in@left"))
    assert was - one == pytest.approx((was - both) / 2, rel=1e-6)
    part = wrong("cottage", "no turn-in@left")["stack"]
    fresh = {tuple(row) for row in np.round(part.vertices, 6).tolist()}
    fresh -= {tuple(row) for row in np.round(right("cottage")["stack"].vertices, 6).tolist()}
    assert max(point[0] for point in fresh) < 0


def _both_sides() -> Assembly:
    return wrong("cottage", "no turn-in@left", "no turn-in@right")


def test_both_sides_one_by_one_are_both_at_once() -> None:
    """Two ways to the same: the side's pieces taken over one by one, or one measure for both."""
    apart = wrong("cottage", "return missing@left", "return missing@right")
    assert changed(apart, wrong("cottage", "return missing")) == set()


@pytest.mark.parametrize(
    ("name", "fault", "told"),
    [
        ("cottage", "saddle left out", "saddle left out: cottage has no saddle"),
        ("cottage", "ear mouth up-slope", 'cottage has corners of the kind "return", not "fin"'),
        (
            "terrace",
            "return missing@left",
            'return missing@left: terrace has corners of the kind "fin"',
        ),
        ("turned", "no turn-in@front", "no turn-in@front: turned has no front apron"),
        (
            "turned",
            "gutter too narrow",
            "turned has a back that isn't level, and no gutter with a sole",
        ),
        ("wide", "snow in the gutter", "wide has a saddle behind it, no level gutter"),
        ("wide", "tilt fillet left out", "tilt fillet left out: wide has no tilt fillet"),
        ("ridge", "no welt", "no welt: ridge stands through a ridge and has nothing behind it"),
        ("soakers", "cover too narrow@left", "soakers has soakers at its sides, no covers"),
        ("soakers", "side stopped short", "soakers has no left side flashing in one piece"),
        ("cottage", "soaker left out", "cottage has no separate soakers at its left"),
        ("cottage", "slit corner without patch", "cottage has corners of the kind"),
        (
            "turned",
            "underlay cut at the corner@front left",
            "no corner between its front and its left",
        ),
        ("cottage", "torn by heat@front", "has a front apron that is 690 mm long, and lead code 4"),
        ("cottage", "wrong lap for a low pitch", "cottage is steep enough for laps of 150 mm"),
        (
            "cottage",
            "gutter too short=170",
            "gutter too short: cottage: gutter beyond the stack must be",
        ),
        ("cottage", "gutter too narrow=120", "gutter too narrow: cottage: gutter sole must be"),
        ("cottage", "turn-in too shallow@left=30", "side turn-in must be 0 to 80 mm. Got"),
    ],
)
def test_no_room_for_it(name: str, fault: str, told: str) -> None:
    """A fault that a scene has no room for says so in one line that begins with its name."""
    with pytest.raises(SceneError) as caught:
        assemble(with_faults(scene(name), [fault]))
    line = str(caught.value)
    assert told in line
    assert line.startswith(fault.partition("=")[0])
    assert "\n" not in line


PART_ALONE = '[[part]]\nname = "slab"\nfile = "slab.stl"\nrole = "covering"\nunit = "mm"\n'


def test_parts_from_files_have_no_measures(tmp_path: Path) -> None:
    """A scene of parts alone says so."""
    alone = read(PART_ALONE, "alone.toml", tmp_path)
    with pytest.raises(SceneError, match="no welt: alone is made of parts from files alone"):
        with_faults(alone, ["no welt"])


BROKEN = """\
[roof]
pitch_deg = 40
[stack]
width_mm = 590
depth_mm = 440
[gutter]
lap_mm = 600
"""


@pytest.mark.parametrize("fault", ["nail through the cover@front", "no turn-in@left"])
def test_a_scene_that_cannot_be_built_anyway(fault: str, tmp_path: Path) -> None:
    """Its own key is blamed, with its line, not the fault."""
    broken = with_faults(read(BROKEN, "broken.toml", tmp_path), [fault])
    with pytest.raises(SceneError, match=r"^broken\.toml, line 7.*gutter lap must be under"):
        assemble(broken)


def test_everywhere_is_wherever_there_is_room() -> None:
    """`turned` has no apron: without a place the fault is at its two sides, and behind it."""
    now = wrong("turned", "no turn-in")
    names = {LEFT, RIGHT, "back flashing", "stack"}
    assert changed(right("turned"), now) == names


UNCUT = (
    ("cottage", "return tucked under@left"), ("cottage", "upstand too low@left"),
    ("cottage", "cover too narrow@right=130"), ("cottage", "lifted edge@left=60"),
    ("cottage", "gutter falls to the stack=3"), ("cottage", "gutter too narrow"),
    ("cottage", "no turn-in@left"), ("terrace", "fin folded the wrong way@left"),
    ("terrace", "upstand too low@right"),
    ("terrace", "ear mouth up-slope"), ("soakers", "soaker upturn too low@left"),
    ("soakers", "step lap too short@right"), ("turned", "no turn-in@left"),
    ("turned", "cover too narrow@right"),
)  # fmt: skip


@pytest.mark.parametrize(("name", "fault"), UNCUT)
def test_no_sheet_is_cut(name: str, fault: str) -> None:
    """By brute force that shares nothing with the builder: no sheet passes through another that it
    didn't pass through before."""
    assert cuts(wrong(name, fault)) <= cuts(right(name))


def test_cut_pieces_keep_their_wet_side_and_hang_together() -> None:
    """Every face of a cut piece lies in a face of the whole one, wound alike; no crack opens."""
    was, now = (
        right("cottage")["front apron"],
        wrong("cottage", "split in a bend@front")["front apron"],
    )
    surface = Surface.of(Assembly((now,)))
    whole = Surface.of(Assembly((was,)))
    assert surface.solid.all()
    assert whole.solid.all()
    ways = {tuple(np.round(normal, 6)) for normal in whole.normals}
    assert {tuple(np.round(normal, 6)) for normal in surface.normals} <= ways


def test_what_is_told() -> None:
    """Contract: findings.json's rows; a fault without an amount or a side has null there."""
    rows = told(with_faults(scene("cottage"), ["cover too narrow@left=90", "no welt"]))
    assert rows[0]["name"] == "cover too narrow"
    assert (rows[0]["where"], rows[0]["amount"], rows[0]["unit"]) == ("left", 90, "mm")
    assert rows[0]["how_bad"] == "cover 90 mm short"
    assert rows[0]["done_wrong"].startswith("The sheet was cut")
    assert (rows[1]["where"], rows[1]["amount"], rows[1]["unit"]) == (None, None, None)


def test_what_the_pieces_are_made_to() -> None:
    """The remarks on making follow what is wrong all round: without its saddle there is none to make."""
    wide = with_faults(scene("wide"), ["saddle left out"])
    made = detail_made(wide)
    assert made is not None
    assert made.gutter.behind == "gutter"
    assert height("back gutter", 0, 560)(assemble(wide)) > 0
