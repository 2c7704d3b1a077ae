"""The answer in plain words, and remarks while a run takes its time."""

from __future__ import annotations

from time import sleep

import pytest

from scenes import progress
from scenes.progress import Remarks
from scenes.say import answer, verdict
from scenes.say_standing import gutter_lines, standing_lines
from scenes.say_text import figure, share_words
from tests.scenes.answer_found import found


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
    assert max(len(line) for line in text.splitlines()) <= 100


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
    assert "98.0 % is held in hollows with no way out." in said
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


def test_laps_tell_their_gust_and_whether_they_stay_wet() -> None:
    """Derived: one line a lap, in columns; only what is too short or stays wet has a line more."""
    good = found()["laps"][0] | {"ok": True, "length_mm": 165.0}
    wet = good | {"id": 3, "first_leak_gust_m_s": 0.0, "rise_mm": 0.0, "stays_wet": True}
    long = good | {"id": 4, "upper": "extra " * 12 + "sheet"}
    text = answer(found(laps=[good, wet, long]))
    lines = text[text.index("Laps (") :].splitlines()
    figures = "165 of 150 mm 39.6 m/s ok"
    assert " ".join(lines[2].split()) == f"2 front apron over covering, front {figures}"
    assert lines[3].endswith("0.0 m/s  ok")
    assert lines[4] == "      stays wet: 15 mm reach, 0 mm rise"
    ends = [line for line in lines if line.endswith("m/s  ok")]
    assert len(ends) == 3
    assert len({len(line) for line in ends}) == 1
    assert max(map(len, lines)) <= 100


def test_standing_water_in_words() -> None:
    """Derived from the findings given; a hollow with no way out tells no depth."""
    pool = {
        "part": "back gutter", "point_mm": [-94.1, 444.0, 488.5], "spills": True,
        "level_mm": 516.3, "depth_mm": 27.8, "volume_ml": 1065.07,
        "spill_mm": [-140.5, 632.6, 516.3], "share": 0.0253141,
    }  # fmt: skip
    shut = pool | {"spills": False, "depth_mm": None, "volume_ml": None, "spill_mm": None}
    said = " ".join(" ".join(standing_lines([pool, shut])).split())
    assert said.endswith(
        "- back gutter, at (-94, 444, 488): 28 mm deep, 1.07 litres; 2.5 % of the rain comes to it; "
        "spills at (-140, 633, 516). "
        "- back gutter, at (-94, 444, 488): no way out; it keeps 2.5 % of the rain."
    )
    assert standing_lines([]) == []
    assert standing_lines([pool] * 8)[-1].strip() == "and 2 places more"


def test_level_gutters_in_words() -> None:
    """Derived from the findings given; what carries next to nothing of the rain is left out."""
    row = {
        "parts": ["back gutter"], "ends_mm": [[-299.0, 444.0, 488.0], [299.0, 444.0, 488.0]],
        "length_mm": 598.0, "flow_ml_min": [400.0, 0.0], "end_depth_mm": [2.0, 0.0],
        "depth_mm": 3.46, "crests_mm": [120.3, 2.5], "freeboard_mm": [116.8, -1.0],
        "surface_tension_governs": True,
    }  # fmt: skip
    said = " ".join(" ".join(gutter_lines([row], 2000.0)).split())
    assert said == (
        "Level gutter (depth where it stands deepest) - back gutter: 400 ml/min to the end at "
        "(-299, 444, 488); 3.46 mm deep over 598 mm; 117 mm left to the top of the steeper side; "
        "1 mm over the top of the flatter side. Indicative: surface tension governs under 4 mm."
    )
    assert gutter_lines([row], 100_000.0) == []
    deep = gutter_lines([row | {"surface_tension_governs": False}], 2000.0)
    assert not any("Indicative" in line for line in deep)


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
