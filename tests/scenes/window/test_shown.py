"""What the window shows at a moment: every key, one after the other, in any order."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenes.window.keys import KEYS, LEAVE, LIST, PICK, press
from scenes.window.shown import SLOWER, Picked, Shown

START = Shown(views=5, leaks=3, dressed=(4, 2, 7))
NAMES = [*(key.name for key in KEYS), *"123456789", "Shift_L", "F1", "e", "w", "3", "KP_2", "N"]


def _after(names: str | list[str], shown: Shown = START) -> Shown:
    for name in names:
        shown = press(shown, name)
    return shown


def _check(shown: Shown) -> None:
    """What holds at every moment, whatever was pressed."""
    assert 0 <= shown.view < shown.views
    assert 0 <= shown.leak <= shown.leaks
    assert 0 <= shown.peeled <= len(shown.dressed)
    assert shown.slow in SLOWER
    assert not (shown.playing and shown.apart)
    assert shown.time >= 0
    peeled = set(shown.dressed[len(shown.dressed) - shown.peeled :])
    assert shown.out_of_sight == shown.hidden | peeled
    if shown.picked is not None and shown.picked.kind == "leak":
        assert 1 <= shown.picked.number <= shown.leaks


@settings(
    phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=150
)
@given(
    st.integers(0, 3),
    st.lists(
        st.one_of(
            st.sampled_from(NAMES),
            st.floats(0, 2),
            st.integers(0, 9).map(lambda number: Picked("piece", number)),
        ),
        max_size=40,
    ),
)
def test_any_keys_clicks_and_waits_leave_it_valid(
    leaks: int, deeds: list[str | float | Picked]
) -> None:
    """Property: bounds hold after each deed, and home brings all back but for the speed."""
    shown = Shown(views=5, leaks=leaks, dressed=(4, 2, 7))
    for deed in deeds:
        before = shown
        if isinstance(deed, str):
            shown = press(shown, deed)
        elif isinstance(deed, float):
            shown = shown.after(deed)
        else:
            shown = shown.pick(deed)
        _check(shown)
        assert shown.sent in (before.sent, before.sent + 1)
    fresh = Shown(views=5, leaks=leaks, dressed=(4, 2, 7), slow=shown.slow)
    assert press(shown, "h") == replace(fresh, sent=shown.sent + 1)


def test_leaks_are_stepped_through_both_ways_and_round() -> None:
    """Exact: 1, 2, 3, 1 forwards; 3, 2, 1, 3 backwards; each is asked about and sent to."""
    assert [_after("n" * k).leak for k in range(5)] == [0, 1, 2, 3, 1]
    assert [_after("b" * k).leak for k in range(5)] == [0, 3, 2, 1, 3]
    assert _after("nn").picked == Picked("leak", 2)
    assert _after("nn").sent == 2


def test_with_no_leak_there_is_nothing_to_step_to() -> None:
    """Exact: neither key changes anything."""
    dry = Shown(views=5, leaks=0, dressed=(1,))
    assert _after("nb", dry) == dry


def test_pieces_come_off_last_dressed_first_and_go_back() -> None:
    """Exact, for three pieces dressed as 4, 2, 7."""
    assert [sorted(_after("t" * k).out_of_sight) for k in range(5)] == [
        [], [7], [2, 7], [2, 4, 7], [2, 4, 7],
    ]  # fmt: skip
    assert _after("tttr").out_of_sight == {2, 7}
    assert _after("rr") == START


def test_a_piece_is_hidden_by_hand_and_shown_again() -> None:
    """Exact: only a picked piece; and what is hidden stays so when peeled pieces go back."""
    assert _after("x") == START
    asked = START.pick(Picked("lap", 1))
    assert press(asked, "x") == asked
    hidden = press(START.pick(Picked("piece", 7)), "x")
    assert hidden.out_of_sight == {7}
    assert _after("tr", hidden).out_of_sight == {7}
    assert press(hidden, "x").out_of_sight == set()


def test_water_runs_by_its_own_clock() -> None:
    """Exact: at half the true speed 3 s are 1.5 s of water; stopped, none; at the true speed all."""
    assert START.after(3.0).time == 0.0
    running = _after(["space"])
    assert running.after(3.0).time == 1.5
    assert _after("f", running).after(3.0).time == 3.0
    assert _after("ss", running).after(4.0).time == 0.5
    assert _after(["space"], running.after(3.0)).after(9.0).time == 1.5


def test_apart_stops_the_water_and_water_puts_pieces_together() -> None:
    """Exact: water can't run on pieces that are apart."""
    apart = _after(["space", "a"])
    assert (apart.apart, apart.playing, apart.water) == (True, False, False)
    again = press(apart, "space")
    assert (again.apart, again.playing, again.water) == (False, True, True)


def test_views_by_number_and_sent_again_when_asked_again() -> None:
    """Exact: 2 is the second view, also from the number pad; a sixth isn't there."""
    assert _after("2").view == 1
    assert _after(["KP_2"]) == _after("2")
    assert _after("22").sent == 2
    assert _after("6") == START
    assert _after("n2").leak == 0
    assert START.turn().turned
    assert not press(START.turn(), "1").turned


@pytest.mark.parametrize("name", ["e", "w", "3" * 2, "Escape", "", "F1", "plus", "KP_Enter", "0"])
def test_other_keys_do_nothing(name: str) -> None:
    """Derived: only the keys of the list mean something; no name of a key is an error."""
    assert press(START, name) == START


def test_every_key_is_listed_once() -> None:
    """Exact: the list in the window holds each key, and two more for asking and leaving."""
    told = [name for name, _ in LIST]
    assert len(told) == len(set(told))
    assert set(told) == {key.name for key in KEYS} | {PICK, LEAVE}
    assert not set(told) & set("123456789")
    assert press(START, "N") == press(START, "n")
