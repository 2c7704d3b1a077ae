"""A small sweep, as several tests ask for it: sheet metal, for which nothing need be compiled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from scenes.sweep.asked import Sweep, sweep_of
from scenes.sweep.case import DONE, Case, Row
from scenes.sweep.cases import Values, cases_of
from scenes.sweep.measure import MeasureName
from scenes.sweep.varied import varied_of

ASKED = ("pitch=30:45:5", "sides.cover=100:140:20")
COUNT = 12
"""Cases that they make."""


def small(
    *asked: str, scene: str = "cottage", measure: MeasureName = "cut-area",
    sample: int | None = None, **more: Any,
) -> tuple[Sweep, list[Values]]:  # fmt: skip
    """A sweep and its cases."""
    varied = [varied_of(text) for text in asked or ASKED]
    options = {"seed": 0, "drops": 300, "settings": {}, "faults": ()} | more
    sweep = sweep_of(scene, varied, measure=measure, sample=sample, **options)
    return sweep, cases_of(varied, sample, options["seed"])


def to_work_out(sweep: Sweep, cases: Sequence[Values]) -> list[Case]:
    """Every case of a sweep."""
    return [Case(number, values, sweep) for number, values in enumerate(cases, start=1)]


def made_up(number: int, values: Values, **figures: Any) -> Row:
    """A row as a case gives it, with these figures."""
    return {
        "case": number, "values": list(values), "status": DONE, "reason": "", "figures": figures,
    }  # fmt: skip
