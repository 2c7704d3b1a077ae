"""What a diagnosis assumes, in words: its priors and its errors. Each is said with every answer."""

from __future__ import annotations

from typing import Final

from scenes.diagnose.likelihood import ELSEWHERE, SPREAD, THROUGH_UNDERLAY, UNEXPLAINED
from scenes.diagnose.ranking import SEEN_BEFORE
from scenes.diagnose.suspects import FOUND, NOTHING_WRONG, SIZES, TWO_AT_ONCE
from scenes.diagnose.trial import CALM, DRIVING, SAME_PLACE, SHARES


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


_FOUND = ", ".join(f"{often} found {weight:g}" for often, weight in FOUND.items())
_SIZES = ", ".join(f"{factor:g}" for factor, _ in SIZES)
_GUSTS = ", ".join(f"{share * DRIVING.gust_m_s:.1f}" for share in SHARES)

ASSUMED: Final = (
    f"Before anything was seen, faults weigh: {_FOUND}; nothing wrong {NOTHING_WRONG:g}. Nobody has"
    " counted: common practice, no source. A fault's weight is shared among the places it may be at"
    f" and its sizes ({_SIZES} of the usual one); two faults at once: {_percent(TWO_AT_ONCE)}.",
    f"A fault answers for water that comes out more than {SAME_PLACE * 1000:.0f} mm from where water comes"
    " out of the right detail in the same weather; for the rest nothing is wrong but the weather.",
    f"A damp place is {SPREAD * 1000:.0f} mm (one standard deviation each way) from where the water"
    f" comes down; in {_percent(ELSEWHERE)} of cases it ran along a rafter and may be anywhere.",
    f"Water that the underlay catches shows inside in {_percent(THROUGH_UNDERLAY)} of cases, for"
    " underlays age; a suspect whose water stays outside in the model leaks all the same in"
    f" {_percent(UNEXPLAINED)}.",
    f"Calm: {CALM.rain_mm_h:g} mm/h. Driving: {DRIVING.rain_mm_h:g} mm/h in gusts of {_GUSTS} m/s, each as"
    f" likely. Water that any rain lets in is told of as coming with wind only in {_percent(SEEN_BEFORE)} of"
    " cases.",
)
"""One sentence or more each, with the figures that the ranking goes by."""
