"""Leaks and laps of two runs, paired: what stays, what goes, what appears. Works on what findings.json
holds of both."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from math import dist
from typing import Any

Found = Mapping[str, Any]

ONE_PLACE = 150.0
"""Two leaks of one cause between the same parts are one and the same when their ways in lie within so
much of each other [mm]."""
SAME_LENGTH = 0.1
"""Laps that differ by no more than this are as long [mm]: the file's own last digit, and the noise of
another triangulation."""


def paired_leaks(first: Sequence[Found], second: Sequence[Found]) -> list[dict[str, Any]]:
    """Every leak of either run, the largest flow first and numbered so: `first` and `second` hold its
    row there or None, `state` is stays, goes or appears."""
    rows = [{"first": a, "second": b} for a, b in _pairs(first, second)]
    rows.sort(key=lambda row: (-_flow(row), _spot(row)))
    states = {(True, True): "stays", (True, False): "goes", (False, True): "appears"}
    return [
        {"number": number, "state": states[row["first"] is not None, row["second"] is not None]}
        | row
        for number, row in enumerate(rows, start=1)
    ]


def _pairs(
    first: Sequence[Found], second: Sequence[Found]
) -> Iterator[tuple[Found | None, Found | None]]:
    """The nearest of one kind go together; the rest stand alone."""
    near = sorted(
        (dist(a["point_mm"], b["point_mm"]), i, j)
        for i, a in enumerate(first)
        for j, b in enumerate(second)
        if (a["cause"], sorted(a["parts"])) == (b["cause"], sorted(b["parts"]))
    )
    one, two = set(range(len(first))), set(range(len(second)))
    for away, i, j in near:
        if away <= ONE_PLACE and i in one and j in two:
            one.remove(i)
            two.remove(j)
            yield first[i], second[j]
    yield from ((first[i], None) for i in sorted(one))
    yield from ((None, second[j]) for j in sorted(two))


def _flow(row: Found) -> float:
    return max(float(leak["flow_ml_min"]) for leak in (row["first"], row["second"]) if leak)


def _spot(row: Found) -> list[float]:
    return list((row["first"] or row["second"])["point_mm"])


def changed_laps(first: Sequence[Found], second: Sequence[Found]) -> list[dict[str, Any]]:
    """Laps whose length, need or verdict changed, and those that only one run has: both figures [mm]
    (None where it is missing) and whether each is long enough."""
    others = _by_name(second)
    rows = []
    for name, laps in _by_name(first).items():
        known = others.pop(name, [])
        shared = min(len(laps), len(known))
        rows += [_lap(name, a, b) for a, b in zip(laps, known, strict=False) if _differ(a, b)]
        rows += [_lap(name, lap, None) for lap in laps[shared:]]
        rows += [_lap(name, None, lap) for lap in known[shared:]]
    rows += [_lap(name, None, lap) for name, laps in others.items() for lap in laps]
    return rows


def _by_name(laps: Sequence[Found]) -> dict[tuple[str, ...], list[Found]]:
    """Two sheets can lap twice at one place, under two rules: down the slope and at an upstand."""
    named: dict[tuple[str, ...], list[Found]] = defaultdict(list)
    for lap in laps:
        named[lap["upper"], lap["lower"], lap["where"], lap["rule"]].append(lap)
    return named


def _differ(one: Found, two: Found) -> bool:
    longer = abs(one["length_mm"] - two["length_mm"]) > SAME_LENGTH + 1e-9
    return longer or one["ok"] != two["ok"] or one["needed_mm"] != two["needed_mm"]


def _lap(name: tuple[str, ...], first: Found | None, second: Found | None) -> dict[str, Any]:
    row: dict[str, Any] = dict(zip(("upper", "lower", "where", "rule"), name, strict=True))
    for side, lap in (("first", first), ("second", second)):
        for key in ("length_mm", "needed_mm", "ok", "source"):
            row[f"{key}_{side}"] = None if lap is None else lap[key]
    return row
