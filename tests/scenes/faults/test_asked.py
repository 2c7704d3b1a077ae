"""What is asked for on the command line: NAME[@WHERE][=HOW MUCH], and one clear line for what isn't that."""

from __future__ import annotations

from collections import Counter
from typing import Any, get_args

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from scenes.faults.apply import as_text
from scenes.faults.asked import asked_for, parsed
from scenes.faults.catalogue import CATALOGUE
from scenes.faults.fault import ALL_ROUND, CORNERS, Fault, Found, OnParts

KEPT = settings(derandomize=True, phases=(Phase.explicit, Phase.generate), deadline=None)


@pytest.mark.parametrize(
    ("text", "name", "place", "amount"),
    [
        ("no turn-in", "no turn-in", "", 0),
        ("cover too narrow@left", "cover too narrow", "left", 60),
        ("cover too narrow=40", "cover too narrow", "", 40),
        (" Cover  too narrow @ right = 37.5 mm ", "cover too narrow", "right", 37.5),
        ("underlay cut at the corner@back left=50", "underlay cut at the corner", "back left", 50),
        ("gutter falls to the stack=2 degrees", "gutter falls to the stack", "", 2),
    ],
)
def test_what_is_read(text: str, name: str, place: str, amount: float) -> None:
    """Contract: spaces and capitals don't matter; left out, it is everywhere, and of its usual size."""
    one = parsed(text)
    assert (one.fault.name, one.place) == (name, place)
    if one.fault.unit:
        assert one.amount == amount


@KEPT
@given(st.sampled_from(CATALOGUE), st.data())
def test_read_back(fault: Fault, data: st.DataObject) -> None:
    """Invariance: as it is written, so it is read, whatever the place and the amount within bounds."""
    place = data.draw(st.sampled_from(("", *fault.places)))
    text = f"{fault.name}@{place}" if place else fault.name
    if fault.unit:
        text += f"={data.draw(st.floats(fault.least, fault.most))!r}"
    one = parsed(text)
    assert parsed(as_text(one)) == one


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("no turnin", "fault 'no turnin': no such fault. Did you mean no turn-in?"),
        ("cover to narrow@left", "Did you mean cover too narrow?"),
        ("xyzzy", "fault 'xyzzy': no such fault. stackrain faults lists them."),
        ("", "fault '': no such fault"),
        (
            "cover too narrow@back",
            "cover too narrow: WHERE must be front, left or right. Got 'back'",
        ),
        ("cover too narrow@rihgt", "Did you mean right?"),
        ("cover too narrow@", "after @ must stand front, left or right. Got nothing"),
        ("no welt@back", "no welt: WHERE must be left out: it has no side. Got 'back'"),
        ("no turn-in=5", "no turn-in: = must be left out: it has no amount. Got '5'"),
        ("cover too narrow=", "HOW MUCH must be a number of mm, 10 to 130 mm. Got ''"),
        ("cover too narrow=wide", "must be a number of mm, 10 to 130 mm. Got 'wide'"),
        ("cover too narrow=6 degrees", "must be a number of mm"),
        (
            "cover too narrow=9",
            "how much must be 10 to 130 mm. Got cover too narrow: how much = 9 mm",
        ),
        ("cover too narrow=131", "must be 10 to 130 mm"),
        ("cover too narrow=nan", "must be 10 to 130 mm"),
        ("cover too narrow=inf", "must be 10 to 130 mm"),
        ("no\nwelt", "must be NAME[@WHERE][=HOW MUCH] in plain letters"),
        ("a" * 500, "no such fault"),
    ],
)
def test_what_is_refused(text: str, told: str) -> None:
    """One line with the rule and the value."""
    with pytest.raises(SceneError) as caught:
        parsed(text)
    line = str(caught.value)
    assert told in line
    assert "\n" not in line
    assert len(line) < 300


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        (["no welt", "no welt"], "no welt: must be asked for once. Got it twice"),
        (["no turn-in@left", "no turn-in@left"], "must be asked for once at left"),
        (["no turn-in", "no turn-in@left"], "must be asked for once at left"),
        (
            ["cover too narrow@left=20", "cover too narrow@left=30"],
            "must be asked for once at left",
        ),
    ],
)
def test_the_same_twice(texts: list[str], told: str) -> None:
    """The same fault at the same place, or everywhere and at one place."""
    with pytest.raises(SceneError, match="asked for once") as caught:
        asked_for(texts)
    assert told in str(caught.value)


def test_several_at_once() -> None:
    """In the order given; the same at two places is two."""
    got = asked_for(["no turn-in@left", "no welt", "no turn-in@right"])
    assert [one.label for one in got] == ["no turn-in@left", "no welt", "no turn-in@right"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": "No Turn-In"},
        {"name": "a@b"},
        {"name": "a=b"},
        {"name": ""},
        {"places": ("inside",)},
        {"bad": "short by {}"},
        {"unit": "mm", "usual": 5.0, "least": 1.0, "most": 9.0},
        {"unit": "mm", "bad": "{} mm", "usual": 5.0, "least": 6.0, "most": 9.0},
        {"unit": "mm", "bad": "{} mm", "usual": 5.0, "least": 0.0, "most": 9.0},
        {"found": "now and then"},
        {"look": ""},
        {"look": "."},
        {"look": "See whether it is there"},
        {"look": " See whether it is there."},
        {"look": "See whether\nit is there."},
        {"look": f"See {'s' * 156}."},
    ],
)
def test_a_fault_that_makes_no_sense(wrong: dict[str, Any]) -> None:
    """Derived: a fault that couldn't be asked for, or is told of in no sound words, isn't made; the one
    that is wrong in nothing is, and so is one whose sentence has just the 160 letters allowed."""
    with pytest.raises(SceneError):
        made_of(wrong)
    assert made_of({}).found == "seldom"
    assert len(made_of({"look": f"See {'s' * 155}."}).look) == 160


def made_of(wrong: dict[str, Any]) -> OnParts:
    """A fault that changes nothing, with these fields other than sound."""
    sound: dict[str, Any] = {"name": "a fault", "done_wrong": "Something.", "bad": "missing"}
    sound |= {"found": "seldom", "look": "See whether it is there."}
    return OnParts(**(sound | wrong), change=lambda assembly, detail, place, amount: assembly)


@pytest.mark.parametrize("fault", CATALOGUE, ids=lambda fault: fault.name)
def test_words_of_every_fault(fault: Fault) -> None:
    """The issue: a plain name, a figure of how bad, and one line on what was done wrong."""
    assert fault.done_wrong.endswith(".")
    assert len(fault.done_wrong) < 130
    told = fault.how_bad(fault.usual)
    assert "{" not in told
    assert fault.unit == "" or f"{fault.usual:g}" in told
    assert fault.unit != "degrees" or fault.how_bad(1.0).startswith("1 degree ")
    sided = {"that side": set(ALL_ROUND), "that corner": set(CORNERS)}
    for words, places in sided.items():
        assert (words in fault.look) == (bool(fault.places) and set(fault.places) <= places)


def test_no_two_faults_look_alike() -> None:
    """Contract: what to look at tells one fault from every other; each of the three words is used for a
    quarter of the catalogue at least, so that they tell faults apart (common practice, no source)."""
    assert len({fault.look for fault in CATALOGUE}) == len(CATALOGUE)
    counts = Counter(fault.found for fault in CATALOGUE)
    assert min(counts[word] for word in get_args(Found)) * 4 >= len(CATALOGUE)
