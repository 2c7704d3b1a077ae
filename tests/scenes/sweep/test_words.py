"""The headline: what tells the cases that leak from those that don't, from the figures alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from scenes.sweep.measure import MeasureName
from scenes.sweep.rule import Condition, near_rule_of, rule_of
from scenes.sweep.shown import Shown, shown_of
from scenes.sweep.words import answer, headline
from tests.scenes.sweep.small import made_up, small

GRID = ("pitch=15:35:5", "sides.cover=50:150:25")
NAMES: dict[MeasureName, str] = {
    "leak": "behind_share", "first-leak-gust": "first_leak_gust_m_s", "cut-area": "area_m2",
}  # fmt: skip


def shown(
    figure: Callable[..., float | None], *asked: str, measure: MeasureName = "leak", **more: Any
) -> Shown:
    """A sweep whose cases have the figures of a function of their values."""
    sweep, cases = small(*(asked or GRID), measure=measure, **more)
    rows = {
        n: made_up(n, values, **{NAMES[measure]: figure(*values)})
        for n, values in enumerate(cases, start=1)
    }
    return shown_of(sweep, rows)


@pytest.mark.parametrize(
    ("leaks", "words"),
    [
        (lambda p, c: p <= 20, "Begins to leak where pitch is 20 degrees or less."),
        (lambda p, c: c >= 125, "Begins to leak where side cover is 125 mm or more."),
        (
            lambda p, c: p <= 20 and c <= 75,
            "Begins to leak where pitch is 20 degrees or less and side cover is 75 mm or less.",
        ),
        (
            lambda p, c: p <= 20 or c <= 75,
            "Stays dry only where pitch is 25 degrees or more and side cover is 100 mm or more.",
        ),
        (
            lambda p, c: c <= {15: 100, 20: 75, 25: 75, 30: 50, 35: 0}[p],
            "Begins to leak with side cover 100 mm or less at pitch 15 degrees; side cover 75 mm or less "
            "at pitch 20 to 25 degrees; side cover 50 mm or less at pitch 30 degrees; none at pitch 35 "
            "degrees.",
        ),
        (
            lambda p, c: c <= 75 or (p, c) == (25, 125),
            "Begins to leak where side cover is 75 mm or less, but for 1 of 25 cases.",
        ),
        (
            lambda p, c: (p + c / 5) % 10 == 0,
            "Leaks in 12 of 25 cases, which no plain rule tells.",
        ),
        (lambda p, c: False, "Stays dry in all 25 cases that can be built."),
        (lambda p, c: True, "Leaks in all 25 cases that can be built."),
    ],
)
def test_the_border_in_words(leaks: Callable[..., bool], words: str) -> None:
    """Derived: the rule is the one that the figures were made by; what leaks most is told too."""
    told = headline(shown(lambda p, c: 0.034 if leaks(p, c) else 0.0))
    assert told.removeprefix(words).strip() in ("", told[told.find("Most, ") :])
    assert told.startswith(words)
    assert ("Most, 3.4 % of the rain, at pitch" in told) == any(
        leaks(p, c) for p in range(15, 40, 5) for c in range(50, 175, 25)
    )


def test_the_border_of_gusts() -> None:
    """Derived: a detail leaks by the gust of its weather, else by that of the gale; none tried is dry."""
    told = headline(
        shown(lambda p: None if p == 35 else float(p), GRID[0], measure="first-leak-gust")
    )
    assert told == (
        'Begins to leak in gusts up to 23.7 m/s (weather case "driving") where pitch is 20 degrees or '
        "less. Stands least, 15.0 m/s, at pitch 15 degrees; most, over 75 m/s, at pitch 35 degrees."
    )
    weather = {("weather", "case"): "spray rack"}
    told = headline(shown(float, GRID[0], measure="first-leak-gust", settings=weather))
    assert "up to 15.1 m/s (the weather's gust) where pitch is 15 degrees or less" in told


def test_the_least_and_the_most_sheet_metal() -> None:
    """Derived."""
    told = headline(shown(lambda p: p / 10, GRID[0], measure="cut-area"))
    wanted = "Least sheet metal, 1.50 m2, at pitch 15 degrees; most, 3.50 m2, at pitch 35 degrees."
    assert told == wanted


def test_names_are_told_by_name() -> None:
    """Derived: a parameter that can't be counted has no or less."""
    told = headline(shown(lambda j, p: float(j != "fin"), "joint=return,fin,bossed", GRID[0]))
    assert told.startswith("Leaks where corners are return or bossed.")


def test_a_rule_of_three_parameters_and_names() -> None:
    """Derived: each condition as narrow as the points allow, none that says nothing."""
    rng = np.random.default_rng(0)
    points = [(float(a), float(b), "xyz"[c]) for a, b, c in rng.integers(0, 3, (200, 3))]
    chosen = np.array([a <= 1 and b >= 1 and c in "xz" for a, b, c in points])
    rule = rule_of(points, chosen, [True, True, False])
    assert rule is not None
    assert [(one.parameter, one.way) for one in rule] == [
        (0, "at most"),
        (1, "at least"),
        (2, "among"),
    ]
    assert [set(one.values) for one in rule] == [{1.0}, {1.0}, {"x", "z"}]


def test_a_near_rule_counts_what_it_is_wrong_about() -> None:
    """Derived: two of forty points; where a quarter would be wrong it is no rule."""
    points = [(float(k),) for k in range(40)]
    chosen = np.arange(40) <= 20
    chosen[[3, 30]] ^= True
    assert near_rule_of(points, chosen, [True]) == ((Condition(0, "at most", (20.0,)),), 2)
    chosen[::4] ^= True
    assert near_rule_of(points, chosen, [True]) is None


def test_the_answer_tells_what_was_not_done_and_why() -> None:
    """Contract: by the commonest reasons, and the cautions as everywhere."""
    sweep, cases = small(*GRID, measure="leak")
    rows = {n: made_up(n, values, behind_share=0.0) for n, values in enumerate(cases, start=1)}
    for n in (1, 2, 3):
        rows[n] |= {"status": "refused", "reason": f"too flat. Got {n}", "figures": {}}
    rows[4] |= {"status": "failed", "reason": "KeyError: 3", "figures": {}}
    told = answer(shown_of(sweep, rows), rows)
    assert "Stays dry in all 21 cases that can be built." in told
    assert "- 3 cases: too flat." in " ".join(told.split())
    assert "KeyError: 3" in told
    assert "defect of its own" in told
    assert "it certifies nothing" in told
    assert max(len(line) for line in told.splitlines()) <= 100
