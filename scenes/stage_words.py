"""The words of a stage: verdict, shares and figures for people, from what was found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol

from scenes.say import WORTH_TELLING

DRY = "No water gets behind the flashings"
"""The verdict when there is nothing to add."""

LINES = (
    "Thin blue: water that stays outside. Bold blue: water on its way in. Red: water behind the flashings, "
    "dashed where it is out of sight. Dotted blue: water behind a flashing, and out again. Numbers: where "
    "it gets in."
)
"""What lines mean, under a picture that stands without its key."""


class Answer(Protocol):
    """What is read of sim.findings.Findings: shares of the water by fate, the share that ran behind a
    flashing on its way, leaks, laps and standing water."""

    @property
    def water(self) -> Sequence[Any]: ...
    @property
    def behind(self) -> float: ...
    @property
    def leaks(self) -> Sequence[Any]: ...
    @property
    def laps(self) -> Sequence[Any]: ...
    @property
    def standing(self) -> Sequence[Any]: ...


def verdict(findings: Answer) -> str:
    """One line: whether water gets behind the flashings, and how many laps are too short."""
    leaks, laps = findings.leaks, [lap for lap in findings.laps if not lap.ok]
    if not is_wet(findings):
        dry = DRY
        if findings.behind >= WORTH_TELLING:
            dry = "No water gets through, but some runs behind a flashing and out again"
        held = sum(row.share for row in findings.water if _fate(row) == "held")
        dry += f"; {percent(held)} is held" if held >= WORTH_TELLING else ""
        joined = "; " if ", but" in dry else ", but "
        return f"{dry}{joined}{_count(laps, 'lap')} too short" if laps else dry
    wet = "Water gets behind the flashings"
    if leaks:
        wet = f"Water gets behind at {_count(leaks, 'place')}"
    return f"{wet}; {_count(laps, 'lap')} too short" if laps else wet


def is_wet(findings: Answer) -> bool:
    """Whether a leak was found, or any water ended behind though no way in was made out."""
    behind = [row.share for row in findings.water if _fate(row) in ("underlay", "inside")]
    return bool(findings.leaks) or sum(behind) > 0


def _fate(row: Any) -> str:
    """The name of a row's fate in small letters, given as a `sim.fates.Fate` or as text."""
    return str(getattr(row.fate, "name", row.fate)).lower()


def _count(things: Sequence[object], noun: str) -> str:
    return f"{len(things)} {noun}{'' if len(things) == 1 else 's'}"


def shares(findings: Answer) -> str:
    """One line: where the rain went, by fate."""
    words = {"shed": "shed", "held": "held", "underlay": "on the underlay", "inside": "inside"}
    told = []
    for row in findings.water:
        if row.share > 0:
            told.append(f"{percent(float(row.share))} {words.get(_fate(row), _fate(row))}")
    return "Of the rain: " + ", ".join(told)


def percent(share: float) -> str:
    """A share (0 to 1) in words for people: no digits that mean nothing."""
    hundred = share * 100
    if hundred == 0 or hundred >= 99.995:
        return f"{hundred:.0f} %"
    if hundred < 0.01:
        return "under 0.01 %"
    if hundred < 10:
        return f"{hundred:.2g} %"
    return f"{hundred:.3g} %" if hundred < 99 else f"{hundred:.2f} %"


def capital(words: str) -> str:
    """Words that begin with a capital letter; at least one."""
    return words[0].upper() + words[1:]
