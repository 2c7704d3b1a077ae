"""A fault of one side alone is in that side's blanks, and in no other."""

from __future__ import annotations

import numpy as np
import pytest

from scenes.cutting.cut_list import cut_list
from scenes.faults.apply import made_wrong, with_faults
from scenes.scene import load


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("cottage", "turn-in too shallow@left"), ("cottage", "cover too narrow@right=80"),
        ("cottage", "return missing@left"), ("terrace", "fold over too short@left"),
        ("stepped", "step lap too short@right"), ("stepped", "soaker upturn too low@left"),
        ("stepped", "soaker tucked under@left"),
    ],
)  # fmt: skip
def test_pieces_are_the_built_parts(name: str, fault: str) -> None:
    """Two ways to the same sheets: the assembly that rain falls on takes one side's parts over, the cut
    list its pieces: the same points, to the bit."""
    scene = with_faults(load(name), [fault])
    parts = {part.name: part.vertices for part in made_wrong(scene)}
    found = cut_list(scene).pieces
    assert all(np.array_equal(made.part().vertices, parts[key]) for key, made in found.items())


def test_one_blank_differs_and_says_so() -> None:
    """Derived: 80 mm less cover on the left is a blank 80 mm narrower on the left, and the same right one;
    the fault of both sides makes both narrower; nothing says that it is not in the blanks."""
    scene = load("cottage")
    right = {one.name: one.size for one in cut_list(scene).patterns}
    found = cut_list(with_faults(scene, ["cover too narrow@left=80"]))
    wrong = {one.name: one.size for one in found.patterns}
    name = "left side flashing"
    assert wrong[name][0] == pytest.approx(right[name][0] - 0.080, abs=1e-9)
    assert {key: size for key, size in wrong.items() if key != name} == {
        key: size for key, size in right.items() if key != name
    }
    assert not [text for text in found.remarks if "not in these blanks" in text]


def test_what_is_of_the_fitting_is_said_not_to_be_in_the_blanks() -> None:
    """Derived: a nail through a cover leaves the blanks as they were."""
    scene = with_faults(load("cottage"), ["nail through the cover"])
    found = cut_list(scene)
    assert any(
        text.startswith("nail through the cover is not in these blanks") for text in found.remarks
    )
    assert [one.size for one in found.patterns] == [
        one.size for one in cut_list(load("cottage")).patterns
    ]
