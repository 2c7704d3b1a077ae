"""The interview: what is asked when, what is refused, going back, and what comes out."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from meshes.spec import Detail
from scenes.measures import keys_of
from scenes.measuring.interview import Interview, letters
from scenes.measuring.question import letter
from scenes.measuring.rows_now import QUESTIONS
from scenes.units import IMPERIAL
from tests.scenes.measuring.roofs import OLD, PLAIN, answered

FEW = settings(
    phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=40
)


def test_keys_and_places_are_known() -> None:
    """Derived: each question once, and each place a key that a scene file has."""
    keys = [question.key for question in QUESTIONS]
    assert len(set(keys)) == len(keys)
    for question in QUESTIONS:
        assert question.how.endswith(".")
        for place in question.places:
            assert len(place) == 1 or place[1] in keys_of(str(place[0])), place


def test_letters() -> None:
    """Contract: in the order of asking, without I and O."""
    assert [letter(number) for number in (0, 7, 8, 13, 23, 24, 26)] == [
        "A", "H", "J", "P", "Z", "AA", "AC",
    ]  # fmt: skip
    assert list(letters(QUESTIONS).values())[:3] == ["A", "B", "C"]


def test_the_order_of_the_roof() -> None:
    """The issue's order: pitch, stack, covering, what is round it, what is there now."""
    order = [question.key for question in QUESTIONS]
    asked = [
        "pitch",
        "width",
        "depth",
        "brick_gauge",
        "covering",
        "gauge",
        "left",
        "present",
        "apron_cover",
    ]
    assert [key for key in order if key in asked] == asked


def test_what_must_be_measured() -> None:
    """Derived: pitch, width, depth, covering, and whether flashings are there; nothing else must be known."""
    interview = Interview().told("")
    assert "has to be measured" in interview.said
    done = answered(PLAIN)
    assert done.question is None
    assert set(done.known) == set(PLAIN)


@pytest.mark.parametrize(
    ("before", "key", "typed", "said"),
    [
        ({}, "pitch", "70", "10 to 65 degrees"),
        ({}, "pitch", "5 in 12 x", "is no pitch"),
        (PLAIN, "width", "59", "200 to 6000 mm"),
        (PLAIN, "depth", "4400", "can't be"),
        (PLAIN, "height", "300", "under the roof at its back"),
        (PLAIN | {"height": "1200"}, "back_height", "300", "to what is wrong"),
        (PLAIN | {"depth": "900", "pitch": "40", "height": "2 m"}, "back_height", "1422", "along the slope"),
        (PLAIN | {"through_ridge": "yes"}, "ridge", "500", "doesn't run into it"),
        (PLAIN, "brick_gauge", "750", "40 to 300 mm"),
        (PLAIN, "gauge", "200", "no plain tiles have a gauge"),
        (PLAIN | {"covering": "interlocking"}, "gauge", "100", "no interlocking have a gauge"),
        (PLAIN | {"gauge": "125"}, "tile_length", "265", "leaves a head lap of 15 mm"),
        (PLAIN | {"gauge": "100"}, "tile_length", "500", "no plain tiles are 500 mm long"),
        (PLAIN | {"covering": "profiled"}, "wave_depth", "70", "0.3 of the wave's pitch"),
        (PLAIN | {"present": "yes"}, "apron_cover", "5", "20 to 1000 mm"),
        (PLAIN | {"present": "yes"}, "leaves", "maybe", "must be one of"),
    ],
)  # fmt: skip
def test_what_can_not_be(before: dict[str, str], key: str, typed: str, said: str) -> None:
    """Derived from the bounds of the builder, exact geometry, and what tiles measure (practice)."""
    interview = Interview()
    while (question := interview.question) is not None and question.key != key:
        interview = interview.told(before.get(question.key, ""))
        assert not interview.said
    refused = interview.told(typed)
    assert said in refused.said
    assert len(refused.said.splitlines()) == 1
    assert refused.question is not None
    assert refused.question.key == key
    assert refused.known == interview.known


def test_the_usual_height_of_a_stack_may_be_too_low() -> None:
    """Derived: at 60 degrees 900 mm of depth rise 1559 mm, more than the usual 1200 mm of height."""
    interview = Interview().told("60").told("590").told("900")
    assert "height" in interview.told("").said
    assert interview.told("2100").question is not None


def test_back() -> None:
    """Contract: one question back each time, its answer forgotten; at the first one a complaint."""
    interview = Interview().told("40").told("590").told("back")
    assert interview.question is not None
    assert interview.question.key == "width"
    assert dict(interview.known) == {"pitch": 40.0}
    first = interview.told("back")
    assert first.question is not None
    assert first.question.key == "pitch"
    assert "first question" in first.told("back").said


def test_back_to_a_letter_keeps_the_rest() -> None:
    """Contract: that one alone is asked again; a letter that was not asked is a complaint."""
    interview = Interview().told("40").told("590").told("440").told("back b")
    assert interview.question is not None
    assert interview.question.key == "width"
    again = interview.told("700")
    assert again.question is not None
    assert again.question.key == "height"
    assert again.known["width"] == 700
    assert "not asked" in again.told("back Z").said


def test_help_tells_how_and_asks_again() -> None:
    """Contract: for every question."""
    interview = Interview()
    while (question := interview.question) is not None:
        helped = interview.told("?")
        assert helped.said == question.how
        assert helped.question == question
        interview = interview.told((OLD | {"height": ""}).get(question.key, ""))


def test_prompts_say_what_is_usual() -> None:
    """Derived: a covering's usual gauge, and all of it in the units that are asked for."""
    interview = Interview(units=IMPERIAL)
    assert interview.prompt.startswith(" A  Pitch")
    said = {}
    given = PLAIN | {"covering": "interlocking", "width": "23", "depth": "17", "present": "yes"}
    while (question := interview.question) is not None:
        said[question.key] = interview.prompt
        interview = interview.told(given.get(question.key, ""))
        assert not interview.said
    assert said["gauge"].endswith("Gauge, course to course, in  [13 9/16 in]")
    assert said["height"].endswith("[47 1/4 in]")
    assert said["leg"].endswith("[so that it rises 75 mm]") or "in]" in said["leg"]
    assert "mm" not in said["apron_cover"]


def test_questions_that_depend_on_others() -> None:
    """Derived: no wave but on profiled ones, nothing of flashings that aren't there, no sole by a saddle."""
    keys = set(answered(PLAIN).answered)
    assert not keys & {"wave_depth", "apron_cover", "ridge", "back_height", "tile_length"}
    saddle = PLAIN | {"present": "yes", "behind": "saddle", "covering": "profiled", "through_ridge": "yes",
                      "ridge": "300"}  # fmt: skip
    keys = set(answered(saddle).answered)
    assert {"wave_depth", "ridge", "saddle_height"} <= keys
    assert not keys & {"sole", "above", "leaves"}


def test_what_was_measured_is_what_is_built() -> None:
    """Derived by hand from the answers."""
    detail = answered(OLD).scene().detail
    assert detail is not None
    assert detail.stack.width == pytest.approx(0.59055, abs=1e-15)
    assert detail.stack.brick_gauge == 0.075
    assert detail.stack.pointed is False
    assert detail.roof.head_lap == pytest.approx(0.065, abs=1e-12)
    assert detail.roof.above == pytest.approx(3 * cos(detail.roof.pitch), abs=1e-12)
    assert detail.roof.pitch == pytest.approx(radians(30.2564371635), abs=1e-9)
    assert (detail.apron.turn_in, detail.sides.turn_in, detail.gutter.turn_in) == (0, 0, 0)
    assert detail.order == ("gutter", "left", "right", "apron", "underlay")
    assert detail.sides.cover == 0.127
    assert (detail.debris.leaves, detail.material, detail.cover_fit) == (
        "none", "lead code 5", "resting",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("front", "back", "order"),
    [
        ("", "", "apron left right gutter underlay"),
        ("2", "", "left right apron gutter underlay"),
        ("", "2", "apron gutter left right underlay"),
        ("2", "2", "gutter left right apron underlay"),
    ],
)
def test_laps_at_the_corners_give_the_order(front: str, back: str, order: str) -> None:
    """Derived: who lies over whom at each corner, the underlay over the gutter."""
    given = PLAIN | {"present": "yes", "front_corner": front, "back_corner": back}
    detail = answered(given).scene().detail
    assert detail is not None
    assert detail.order == tuple(order.split())


def test_what_the_builder_refuses_is_asked_again() -> None:
    """Derived: the one answer to blame, the others kept; with no answer to blame it is an error."""
    done = answered(PLAIN | {"left": "400", "right": "900"})

    def build(detail: Detail) -> None:
        if detail.roof.left is not None and detail.roof.left < 0.5:
            raise SceneError("roof left must be 500 mm or more. Got roof left = 400 mm")

    again = done.tried(build)
    assert again.question is not None
    assert again.question.key == "left"
    assert "500 mm" in again.said
    mended = again.told("600")
    assert mended.question is None
    assert mended.tried(build) is mended
    assert mended.known["right"] == 900

    def never(detail: Detail) -> None:
        raise SceneError("no")

    with pytest.raises(SceneError):
        done.tried(never)


@FEW
@given(
    st.lists(
        st.sampled_from(["", "1", "2", "35", "300", "600", "back", "?", "x", "7 in 12"]),
        max_size=60,
    )
)
def test_any_answers_leave_a_scene_that_holds(typed: list[str]) -> None:
    """Property: after whatever is typed the scene so far can be made, and a complaint is one line."""
    interview = Interview()
    for text in typed:
        if interview.question is None:
            break
        before = interview
        interview = interview.told(text)
        assert len(interview.said.splitlines()) <= 1
        assert interview.scene().detail is not None
        if interview.wrong:
            assert interview == replace(before, said=interview.said, wrong=before.wrong + 1)
