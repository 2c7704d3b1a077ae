"""The answer in plain words, and remarks while a run takes its time."""

from __future__ import annotations

from time import sleep
from typing import Any

import pytest

from scenes import progress
from scenes.progress import Remarks
from scenes.say import answer, figure, share_words, verdict


def found(**changes: Any) -> dict[str, Any]:
    """A small set of findings, invented."""
    water = [
        {"fate": "shed", "share": 0.975, "share_se": 0.001, "flow_ml_min": 1950.0},
        {"fate": "inside", "share": 0.025, "share_se": 0.001, "flow_ml_min": 50.0},
        {"fate": "unresolved", "share": 0.0, "share_se": 0.0, "flow_ml_min": 0.0},
    ]
    leak = {
        "id": 1, "severity": "inside", "way_in": "over the top edge of the front apron",
        "parts": ["front apron", "stack"], "cause": "over a top edge",
        "point_mm": [1.0, -0.2, 150.4], "arrives_mm": [1.0, 3.0, -300.0],
        "share": 0.025, "share_se": 0.001, "flow_ml_min": 50.0,
        "why": "Water runs down the stack. Nothing turns it out.", "cure": "",
    }  # fmt: skip
    lap = {
        "id": 2, "upper": "front apron", "lower": "covering", "where": "front", "length_mm": 90.0,
        "rise_mm": 50.0, "width_mm": 690.0, "needed_mm": 150.0, "rule": "cover", "source": "s",
        "ok": False,
    }  # fmt: skip
    base = {
        "scene": {"title": "A stack"}, "drops": 20000, "water": water, "leaks": [leak],
        "laps": [lap], "cautions": ["Mind the edge."],
        "ran_behind_a_flashing": {"share": 0.0, "share_se": 0.0},
    }  # fmt: skip
    return base | changes


def test_the_verdict_names_water_and_laps() -> None:
    """Derived from the findings given."""
    assert verdict(found()) == (
        "Water gets behind the flashings at 1 place: 2.50 % of the rain, 50.0 ml/min. "
        "1 lap of 1 is too short."
    )
    dry = [{"fate": "shed", "share": 1.0, "share_se": 0.0, "flow_ml_min": 2000.0}]
    good = [found()["laps"][0] | {"ok": True}]
    assert verdict(found(water=dry, leaks=[], laps=good)) == (
        "No water gets behind the flashings. The one lap measured is long enough."
    )
    assert verdict(found(water=dry, leaks=[], laps=good * 3)).endswith(
        "Each of the 3 laps measured is long enough."
    )


def test_the_answer_holds_every_figure() -> None:
    """Verdict, shares with standard errors and volumes, numbered leaks, laps, cautions."""
    text = answer(found())
    for words in (
        "97.50 % ± 0.10 %", "1,950 ml/min", "2.50 % ± 0.10 %", "50.0 ml/min",
        "over the top edge of the front apron", "(1, 0, 150)", "Nothing turns it out.",
        "60 mm TOO SHORT", "Mind the edge.",
    ):  # fmt: skip
        assert words in text
    assert "defect" not in text
    assert max(len(line) for line in text.splitlines()) < 130


def test_what_was_not_followed_is_never_hidden() -> None:
    """Derived: an unresolved drop is a defect of ours, and is said so."""
    lost = {"fate": "unresolved", "share": 0.01, "share_se": 0.001, "flow_ml_min": 20.0}
    assert "a defect of stackrain" in answer(found(water=[lost]))


def test_held_and_lost_water_are_in_the_verdict() -> None:
    """Derived: a box that holds all rain isn't called dry and done; nor is a lost drop passed over."""
    water = [
        {"fate": "held", "share": 0.98, "share_se": 0.001, "flow_ml_min": 1960.0},
        {"fate": "unresolved", "share": 0.02, "share_se": 0.001, "flow_ml_min": 40.0},
    ]
    said = verdict(found(water=water, leaks=[], laps=[]))
    assert "98.0 % is held, with no way down" in said
    assert "2 % could not be followed" in said


def test_water_that_runs_behind_and_out_again_is_in_the_verdict() -> None:
    """Derived: an apron over its side flashings lets water in behind it that comes out below; no
    sentence then says that no water gets behind."""
    dry = [{"fate": "shed", "share": 1.0, "share_se": 0.0, "flow_ml_min": 2000.0}]
    hidden = {"share": 0.2525, "share_se": 0.01}
    said = verdict(found(water=dry, leaks=[], laps=[], ran_behind_a_flashing=hidden))
    assert said.startswith("No water gets through, but about 25 % of the rain runs behind")


def test_small_leaks_get_one_line() -> None:
    """Derived: one drop of 20,000 is named and counted, and not explained at length."""
    large = found()["leaks"][0]
    small = large | {"id": 2, "way_in": "past the end", "flow_ml_min": 0.2, "why": "Too long."}
    text = answer(found(leaks=[large, small]))
    assert "past the end: 0.200 ml/min" in text
    assert "Nothing turns it out." in text
    assert "Too long." not in text


@pytest.mark.parametrize(
    ("share", "error", "words"),
    [
        (0.0, 0.0, "0.00 % ± 0.00 %"),
        (0.00005, 0.00005, "0.005 % ± 0.005 %"),
        (0.5, 0.0000004, "50.0000 % ± 0.0000 %"),
    ],
)
def test_small_errors_get_more_decimals(share: float, error: float, words: str) -> None:
    """Derived: an error's first figure shows, down to 0.0001 %."""
    assert share_words(share, error) == words


def test_no_figure_is_parted_from_its_unit() -> None:
    """Derived: sentences of growing length put the line's end everywhere; no line begins with a
    unit."""
    for length in range(60, 96):
        leak = found()["leaks"][0] | {"why": f"{'x' * length} 1.5 % (7 ml/min) 9 mm ± 0.1 %."}
        lines = answer(found(leaks=[leak])).splitlines()
        assert not [line for line in lines if line.lstrip().startswith(("%", "ml", "mm", "±"))]
        assert not [line for line in lines if line.endswith("±")]


def test_one_drop_is_a_drop() -> None:
    """Derived."""
    assert "(1 drop; share" in answer(found(drops=1))


@pytest.mark.parametrize(
    ("value", "words"),
    [(0, "0"), (1234.5, "1,230"), (12.345, "12.3"), (0.012345, "0.0123"), (99.96, "100.0")],
)
def test_three_figures(value: float, words: str) -> None:
    """Derived: rounding to three significant figures; 99.96 keeps the decimal it had."""
    assert figure(value) == words


def test_remarks_only_on_what_takes_long(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Progress on standard error for anything over a second (here 50 ms), but quiet."""
    monkeypatch.setattr(progress, "SILENCE", 0.05)
    with Remarks().step("Resting"):
        pass
    assert capsys.readouterr() == ("", "")
    with Remarks().step("Working"):
        sleep(0.3)
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.splitlines()[0] == "Working ..."
    assert said.err.splitlines()[1].startswith("Working: 0.")
    with Remarks(quiet=True).step("Working"):
        sleep(0.2)
    assert capsys.readouterr() == ("", "")
