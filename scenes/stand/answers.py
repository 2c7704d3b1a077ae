"""Values in, the page's data out: the scene built, rained on and told, one request after the other."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import replace
from threading import Lock
from typing import Any, Final, Literal

from scenes.assemble import assemble
from scenes.follow import Sites
from scenes.page.page import Shown, page_data
from scenes.progress import Remarks
from scenes.run import Result, run, stage_of
from scenes.stand.asked import Bench
from scenes.stand.knob import Value
from scenes.units_text import spoken_in

Drops = Literal["few", "all"]

DROPS: Final[Mapping[Drops, int]] = {"few": 300, "all": 1500}
"""Drops while a slider moves, and once it rests."""
REMEMBERED: Final = 12
"""Answers kept, so that flipping between two states costs nothing."""
SEED: Final = 0
AHEAD: Final = "Still air while this moves; the wind and the verdict follow once it rests"


class Answers:
    """Answers for one bench. Safe to ask from several threads: they take turns."""

    def __init__(self, bench: Bench, *, threads: int | None = None) -> None:
        self.bench = bench
        self._threads = threads
        self._turn = Lock()
        self._sites = Sites()
        self._kept: OrderedDict[tuple[Any, ...], bytes] = OrderedDict()

    def data(self, values: Mapping[str, Value], drops: Drops) -> bytes:
        """The page's data with every knob at its value. Raises SceneError for what can't be built."""
        key = (drops, *sorted(values.items()))
        with self._turn:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            made = self._made(values, drops)
            self._kept[key] = made
            if len(self._kept) > REMEMBERED:
                self._kept.popitem(last=False)
            return made

    def _made(self, values: Mapping[str, Value], drops: Drops) -> bytes:
        scene = self.bench.scene_with(values)
        ahead = drops == "few" and scene.weather.gust > 0 and not self._sites.has(assemble(scene))
        if ahead:
            scene = replace(scene, weather=replace(scene.weather, gust=0.0))
        result = run(
            scene, drops=DROPS[drops], seed=SEED, threads=self._threads,
            remarks=Remarks(quiet=True), sites=self._sites,
        )  # fmt: skip
        with spoken_in(self.bench.units):
            return self._told(result, values, ahead=ahead)

    def _told(self, result: Result, values: Mapping[str, Value], *, ahead: bool) -> bytes:
        """The page's data of a result, in the units that are spoken."""
        stage = stage_of(result, water=False)
        if ahead:
            # Wind on changed pieces takes seconds: until it is known, nothing is said of it.
            stage = replace(stage, weather=AHEAD, verdict="", shares="", bad=False, clear=False)
            stage = replace(stage, leaks=(), laps=(), pools=(), wind=None)
        shown = Shown(stage, result, result.findings.to_dict())
        now, start = self.bench.shown(values), self.bench.shown(self.bench.start)
        rows = [knob.to_dict() | {"value": now[knob.key]} for knob in self.bench.knobs]
        return page_data("stand", [shown], {"controls": rows, "start": start})
