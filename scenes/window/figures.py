"""What the window says about the thing that was asked about, from what `findings.json` holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from meshes.parts import Assembly, Part, Role
from scenes.exploded import ordinal, shifts
from scenes.gust_words import metres
from scenes.run import Result
from scenes.say import FATES
from scenes.say_text import figure, place_words, share_words
from scenes.stage import Stage
from scenes.stage_words import capital
from scenes.window.shown import Picked
from sim.fates import Fate
from sim.findings_rows import ML_MIN

Found = Mapping[str, Any]

ROLES = {
    Role.FLASHING: "flashing",
    Role.COVERING: "covering",
    Role.STACK: "stack",
    Role.UNDERLAY: "underlay, the second line of defence",
    Role.INSIDE: "what must stay dry",
    Role.DEBRIS: "debris",
}
MOST_LAPS = 6
"""Laps told of one piece."""


@dataclass(frozen=True, slots=True)
class Told:
    """A heading and paragraphs about one thing."""

    heading: str
    rows: tuple[str, ...]


class Figures:
    """What can be told about a result's pieces, paths, laps and leaks."""

    def __init__(self, result: Result, stage: Stage, times: Mapping[int, float]) -> None:
        """times [s]: how long each kept path takes, by its place among the kept ones."""
        self.found: Found = result.to_dict()
        self._result, self._stage, self._times = result, stage, times
        self._turns = {name: turn for name, (turn, _) in shifts(result.assembly).items()}
        self._lasts = len(self._turns)

    def of(self, what: Picked) -> Told:
        """About the thing that was picked."""
        if what.kind == "piece":
            return self._piece(what.number)
        if what.kind == "path":
            return self._path(what.number)
        rows = self.found["leaks" if what.kind == "leak" else "laps"]
        row = next(row for row in rows if row["id"] == what.number)
        return self._leak(row) if what.kind == "leak" else lap_told(row)

    def _piece(self, number: int) -> Told:
        piece = self._stage.pieces[number]
        part = part_named(self._result.assembly, piece.name)
        rows = [f"{capital(ROLES[piece.role])}."] if ROLES[piece.role] != piece.name else []
        if piece.name in self._turns:
            turn = ordinal(self._turns[piece.name])
            rows = [f"{capital(ROLES[piece.role])}, dressed {turn} of {self._lasts}. "
                    f"One side of it: {figure(area(part))} m²."]  # fmt: skip
        rows += piece_laps(piece.name, self.found["laps"])
        return Told(f"{piece.letter}: {capital(piece.name)}", tuple(rows))

    def _path(self, number: int) -> Told:
        result = self._result
        row = int(result.rows[number])
        fate = Fate(int(result.trace.fate[row])).name.lower()
        leak = int(result.leak_of[number])
        end = f"{capital(FATES[fate])}: leak {leak}." if leak else f"{capital(FATES[fate])}."
        flow = figure(float(result.drops.flow[row]) * ML_MIN)
        return Told(
            f"Drop {int(result.drops.drop[row]):,}",
            (
                end,
                f"It stands for {flow} ml/min of the rain.",
                f"It ran on: {', then '.join(self._ran_on(number))}.",
                f"From landing to its end: {figure(self._times[number])} s.",
            ),
        )

    def _ran_on(self, number: int) -> list[str]:
        """Names of the parts that a kept path runs on, in order; each once for each stay."""
        result = self._result
        first, stop = result.paths.start[number : number + 2]
        parts = result.charts.part[result.paths.chart[first:stop]]
        stays = parts[np.append(True, parts[1:] != parts[:-1])]
        names = [part.name for part in result.assembly]
        return [names[int(part)] for part in stays]

    def _leak(self, leak: Found) -> Told:
        goal = "gets inside" if leak["severity"] == "inside" else "gets as far as the underlay"
        share = share_words(leak["share"], leak["share_se"])
        rows = [
            f"{capital(leak['way_in'])}.",
            f"{share} of the rain, {figure(leak['flow_ml_min'])} ml/min: it {goal}.",
            f"Cause: {leak['cause']}. In at {place_words(leak['point_mm'])} mm.",
        ]
        rows += [leak["why"]] if leak["why"] else []
        rows += [f"Cure: {leak['cure']}"] if leak["cure"] else []
        return Told(f"Leak {leak['id']} of {len(self.found['leaks'])}", tuple(rows))


def lap_told(lap: Found) -> Told:
    """About a row of the laps of findings.json."""
    missing = lap["needed_mm"] - lap["length_mm"]
    state = "Long enough" if lap["ok"] else f"{missing:.0f} mm too short"
    rows = [
        f"{capital(lap['upper'])} over {lap['lower']}, {lap['where']}.",
        f"{state}: {lap['length_mm']:.0f} mm long, {lap['needed_mm']:.0f} mm needed.",
        f"It rises {lap['rise_mm']:.0f} mm and is {lap['width_mm']:.0f} mm wide.",
        "By its length and rise alone it stands a gust, square onto its open edge, of "
        f"{metres(lap['first_leak_gust_m_s'])}.",
    ]
    rows += [] if lap["ok"] else [f"Rule: {lap['rule']} ({lap['source']})."]
    if lap["stays_wet"]:
        rows.append(f"It stays wet: water is drawn {lap['capillary_reach_mm']:.0f} mm up into it.")
    return Told(f"Lap {lap['id']}", tuple(rows))


def piece_laps(name: str, laps: Sequence[Found]) -> list[str]:
    """What a piece lies over and under, from the laps of findings.json: at most MOST_LAPS, the too short
    ones first."""
    own = sorted((lap for lap in laps if name in (lap["upper"], lap["lower"])), key=_short_first)
    rows = []
    for lap in own[:MOST_LAPS]:
        over = lap["upper"] == name
        other = lap["lower"] if over else lap["upper"]
        state = "" if lap["ok"] else ", too short"
        sizes = f"{lap['length_mm']:.0f} of {lap['needed_mm']:.0f} mm"
        side = "Over" if over else "Under"
        rows.append(f"{side} {other}, {lap['where']}: {sizes}{state}.")
    if len(own) > MOST_LAPS:
        rows.append(f"And {len(own) - MOST_LAPS} more laps.")
    return rows or ["No lap of it was measured."]


def _short_first(lap: Found) -> tuple[bool, int]:
    return lap["ok"], lap["id"]


def part_named(assembly: Assembly, name: str) -> Part:
    """The part of that name; there must be one."""
    return next(part for part in assembly if part.name == name)


def area(part: Part) -> float:
    """Area of one side of all its faces [m2]."""
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)
