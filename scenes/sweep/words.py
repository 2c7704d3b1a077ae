"""A sweep in words: its headline, from the figures alone, and the printed answer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np

from scenes.cautions import cautions_of
from scenes.say_text import count, hung, wrapped
from scenes.sweep.case import Row
from scenes.sweep.key import Value
from scenes.sweep.rule import Condition, Way, equal_limits, near_rule_of, rule_of, thresholds
from scenes.sweep.shown import Point, Shown
from scenes.sweep.value_words import words_of
from scenes.sweep.varied import Varied

MOST_STEPS: Final = 5
"""Steps of a border that a headline tells one by one."""
MOST_REASONS: Final = 3
BEYOND: Final[Mapping[Way, str]] = {"at most": "or less", "at least": "or more", "among": ""}


def headline(shown: Shown) -> str:
    """Where it begins to leak, or the least and the most of the measure, in one or two sentences."""
    if not shown.done:
        return "None of the cases can be built."
    if shown.measure == "cut-area":
        return _ends(shown, "Least sheet metal", "most")
    wet = np.array([bool(point.wet) for point in shown.done])
    if not wet.any():
        return f"{_dry(shown)} in all {count(len(wet), 'case')} that can be built.{_weakest(shown)}"
    if wet.all():
        return (
            f"{_wets(shown)} in all {count(len(wet), 'case')} that can be built.{_weakest(shown)}"
        )
    return f"{_border(shown, wet)}{_weakest(shown)}"


def _border(shown: Shown, wet: Any) -> str:
    points = [point.values for point in shown.done]
    counted = [one.is_counted for one in shown.varied]
    rule = rule_of(points, wet, counted)
    if rule is not None:
        named = all(one.way == "among" for one in rule)
        return f"{_wets(shown) if named else _begins(shown)} where {_conditions(shown, rule)}."
    dry = rule_of(points, ~wet, counted)
    if dry is not None:
        return f"{_dry(shown)} only where {_conditions(shown, dry)}."
    if len(counted) == 2 and all(counted):
        for along, across in ((0, 1), (1, 0)):
            if steps := thresholds(points, wet, along, across):
                told = _steps(*steps, shown.varied[along], shown.varied[across])
                return f"{_begins(shown)} with {told}."
    near = near_rule_of(points, wet, counted)
    if near is not None:
        told = _conditions(shown, near[0])
        return f"{_begins(shown)} where {told}, but for {near[1]:,} of {count(len(wet), 'case')}."
    return f"{_wets(shown)} in {int(wet.sum()):,} of {count(len(wet), 'case')}, which no plain rule tells."


def _steps(way: Way, limits: Any, along: Varied, across: Varied) -> str:
    """The border from step to step; the first, the middle and the last where it has many."""
    groups = [*equal_limits(limits)]
    many = len(groups) > MOST_STEPS
    some = [groups[0], groups[len(groups) // 2], groups[-1]] if many else groups
    told = []
    for first, last, limit in some:
        where = words_of(along, last)
        if first != last:
            where = f"{words_of(along, first, unit=False)} to {where}"
        at = f"at {along.key.label} {where}"
        if limit is None:
            told.append(f"none {at}")
        else:
            told.append(f"{value_named(across, limit)} {BEYOND[way]} {at}")
    return "; ".join([*told, "in steps between them"] if many else told)


def _conditions(shown: Shown, rule: Sequence[Condition]) -> str:
    return " and ".join(_condition(shown.varied[one.parameter], one) for one in rule)


def _condition(one: Varied, condition: Condition) -> str:
    told = [words_of(one, value) for value in condition.values]
    verb = "are" if one.key.label.endswith("s") else "is"
    if condition.way == "among":
        return f"{one.key.label} {verb} {' or '.join(told)}"
    return f"{one.key.label} {verb} {told[0]} {BEYOND[condition.way]}"


def _begins(shown: Shown) -> str:
    return "Begins to leak" + (f" in gusts up to {_limit(shown)}" if _of_gusts(shown) else "")


def _wets(shown: Shown) -> str:
    return "Leaks" + (f" in gusts up to {_limit(shown)}" if _of_gusts(shown) else "")


def _dry(shown: Shown) -> str:
    return f"Stands gusts of {_limit(shown)}" if _of_gusts(shown) else "Stays dry"


def _limit(shown: Shown) -> str:
    return f"{shown.limit:g} m/s ({shown.limit_words})"


def _of_gusts(shown: Shown) -> bool:
    return shown.measure == "first-leak-gust"


def _weakest(shown: Shown) -> str:
    """The case that leaks most, or stands least."""
    if _of_gusts(shown):
        return " " + _ends(shown, "Stands least", "most")
    worst = max(shown.done, key=lambda point: (point.figure or 0.0, -point.number))
    if not worst.figure:
        return ""
    return f" Most, {shown.figure_words(worst.figure)} of the rain, {_at(shown, worst)}."


def _ends(shown: Shown, least: str, most: str) -> str:
    """The least and the most of the figures and where they are, the first of equal ones."""

    def size(point: Point) -> float:
        return float("inf") if point.figure is None else point.figure

    low = min(shown.done, key=lambda point: (size(point), point.number))
    high = max(shown.done, key=lambda point: (size(point), -point.number))
    first = f"{least}, {shown.figure_words(low.figure)}, {_at(shown, low)}"
    if size(low) == size(high):
        return f"{first}, as in every other case."
    return f"{first}; {most}, {shown.figure_words(high.figure)}, {_at(shown, high)}."


def _at(shown: Shown, point: Point) -> str:
    named = zip(shown.varied, point.values, strict=True)
    return "at " + ", ".join(value_named(one, value) for one, value in named)


def answer(shown: Shown, rows: Mapping[int, Row]) -> str:
    """Title, what was varied, the headline, cases that were not done and why, cautions. Lines are at most
    100 characters long."""
    title = shown.sweep.title
    total = len(shown.points)
    kind = "sampled" if shown.sweep.sample is not None else "in a grid"
    varied = "; ".join(varied_words(one) for one in shown.varied)
    blocks = [
        [title, "=" * len(title)],
        wrapped(f"{count(total, 'case')} {kind}: {varied}."),
        wrapped(headline(shown)),
        _not_done(shown, rows),
        ["Cautions", *(line for text in _cautions(shown) for line in hung("-", text))],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _cautions(shown: Shown) -> tuple[str, ...]:
    """Those for the scene's sheet, or for every sheet that is tried."""
    detail = shown.sweep.scene_as_it_is().detail
    tried = [one.values for one in shown.varied if one.key.place[-1] == "material"]
    if detail is None or not tried:
        return cautions_of(detail)
    return cautions_of(*(replace(detail, material=str(value)) for value in tried[0]))


def in_order(one: Varied) -> tuple[Value, ...]:
    """The values of a grid's parameter, numbers upward."""
    return tuple(sorted(one.values)) if one.is_counted else one.values


def value_named(one: Varied, value: Value) -> str:
    """A parameter at a value: `pitch 40 degrees`."""
    return f"{one.key.label} {words_of(one, value)}"


def varied_words(one: Varied) -> str:
    """A parameter and what it takes: `pitch 20 to 45 degrees`."""
    if one.ends or (one.is_counted and len(one.values) > 1):
        low, high = one.ends or (min(one.values), max(one.values))
        steps = f" ({len(one.values)} values)" if one.values else ""
        return f"{one.key.label} {words_of(one, low, unit=False)} to {words_of(one, high)}{steps}"
    return f"{one.key.label} {', '.join(words_of(one, value) for value in one.values)}"


def _not_done(shown: Shown, rows: Mapping[int, Row]) -> list[str]:
    lines = []
    if shown.refused:
        lines += wrapped(f"{count(shown.refused, 'case')} can't be built or measured:")
        lines += _reasons(shown, rows, failed=False)
    if shown.failed:
        lines += wrapped(f"In {count(shown.failed, 'case')} stackrain failed, a defect of its own:")
        lines += _reasons(shown, rows, failed=True)
    return lines


def _reasons(shown: Shown, rows: Mapping[int, Row], *, failed: bool) -> list[str]:
    """The commonest reasons; figures that differ from case to case are left to the table."""
    status = "failed" if failed else "refused"
    of = [row for row in rows.values() if row["status"] == status]
    reasons = Counter(row["reason"].partition(" Got ")[0] for row in of)
    common = reasons.most_common(MOST_REASONS)
    lines = [
        line for text, times in common for line in hung("-", f"{count(times, 'case')}: {text}")
    ]
    others = len(reasons) - len(common)
    return lines + ([*hung("-", f"and {others:,} other reasons: see the table")] if others else [])
