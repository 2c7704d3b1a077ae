"""The main job: build a scene, rain on it, follow the water, measure, and write the answer down."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError
from meshes.parts import Assembly
from scenes import __version__
from scenes.assemble import assemble
from scenes.cautions import cautions_of
from scenes.faults.apply import detail_made, flashings_made_right, note_of, told
from scenes.folder import fresh_folder, write_files
from scenes.follow import Sites, follow
from scenes.glb import glb_bytes
from scenes.places import at
from scenes.progress import Remarks
from scenes.scene import Scene
from scenes.vtp import vtp_text
from sim.shares import evenly

if TYPE_CHECKING:
    from scenes.cures.search import Found as Cures
    from scenes.cutting.cut_list import CutList
    from scenes.gust import Gusts
    from scenes.report.cut_told import CutTold
    from sim.charts import Charts
    from sim.findings import Findings
    from sim.rain import Drops
    from sim.trace import Paths, Trace

MOST_PATHS = 500
"""Paths kept for paths.vtp and the picture."""
MOST_LEAK_PATHS = 250
"""Of them about so many that get behind, shared out among the leaks by their drops."""
LEAST_LEAK_PATHS = 5
"""Paths kept of every leak, however small."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Result:
    """A scene and what was found. `rows` (k,) are the drops whose `paths` are kept, leaks first;
    `leak_of` (k,) is the number of the leak that a kept path belongs to, 0 for none; film_rounds: how
    often water was traced until its films in the wind settled, 0 in still air; gusts, cures: where the
    first-leak gust, or cures, were searched for."""

    scene: Scene
    assembly: Assembly
    charts: Charts
    drops: Drops
    trace: Trace
    findings: Findings
    film_rounds: int
    films_settled: bool
    gusts: Gusts | None
    cures: Cures | None
    rows: NDArray[np.int64]
    leak_of: NDArray[np.int32]
    paths: Paths
    seed: int

    def to_dict(self) -> dict[str, Any]:
        """What findings.json holds (schema 1)."""
        head = {
            "schema": 1,
            "program": "stackrain",
            "version": __version__,
            "seed": self.seed,
            "drops": self.drops.released,
            "scene": {
                "title": self.scene.title,
                "file": self.scene.file,
                "sha256": self.scene.sha256,
            },
            "faults": told(self.scene),
            "weather": self.weather,
            "films": {"rounds": self.film_rounds, "settled": self.films_settled},
        }
        tail = {
            "making": list(_making(self.scene)),
            "cautions": list(cautions_of(self.scene.detail)),
        }
        found: dict[str, Any] = head | self.findings.to_dict() | self._first_leak() | tail
        if self.cures is None:
            return found | {"leaks": [leak | {"cure": ""} for leak in found["leaks"]]}
        from scenes.cures.rows import with_cures

        return with_cures(found, self.cures, self.scene)

    @property
    def weather(self) -> dict[str, Any]:
        """The weather as findings.json holds it."""
        weather = self.scene.table.weather
        return {
            "case": weather.case_it_is,
            "rain_mm_h": weather.rain_mm_h,
            "gust_m_s": weather.gust_m_s,
            "from_deg": weather.from_deg,
            "slant_deg": weather.slant_deg,
            "push_m_s2": list(weather.push_m_s2),
            "drag_coefficient": weather.drag_coefficient,
            "pressure_factor": weather.pressure_factor,
        }

    def _first_leak(self) -> dict[str, Any]:
        if self.gusts is None:
            return {}
        lowest = self.gusts.found["lowest"]
        return {
            "first_leak_gust_m_s": lowest["gust_m_s"] if lowest else None,
            "first_leak_from_deg": lowest["from_deg"] if lowest else None,
            "first_leak": self.gusts.found,
        }


def run(
    scene: Scene,
    *,
    drops: int,
    seed: int,
    gust: bool = False,
    cures: bool = False,
    threads: int | None = None,
    remarks: Remarks | None = None,
    sites: Sites | None = None,
) -> Result:
    """Build the scene, let `drops` drops fall on it, follow them and measure the laps.

    drops: 1 or more; gust: whether to search the first-leak gust too; cures: and cures; threads: None
    for all cores; sites: as `follow` has it. The same seed gives the same result whatever the number of
    threads. Raises SceneError for what can't be built.
    """
    remarks = remarks or Remarks()
    with remarks.step("Building the scene"):
        assembly = assemble(scene)
    from sim.trace import is_compiled, record

    if not is_compiled():
        remarks.say("First run on this machine: compiling the tracer, once (up to half a minute).")
    with _placed(scene):
        water = follow(
            assembly, scene.weather, drops=drops, seed=seed, threads=threads, remarks=remarks,
            sites=sites,
        )  # fmt: skip
    rows, leak_of = _kept(len(water.drops), [leak.rows for leak in water.findings.leaks])
    paths = record(water.charts, water.drops, rows, threads=threads)
    gusts = None
    if gust:
        from scenes.gust import gusts_of

        gusts = gusts_of(scene, seed=seed, threads=threads, remarks=remarks)
    found = None
    if cures:
        from scenes.cures.search import cures_of
        from scenes.cures.targets import Ran
        from scenes.in_processes import processes_for

        ran = Ran(scene, assembly, water.charts, water.drops, water.findings, seed)
        found = cures_of(ran, processes=processes_for(threads), remarks=remarks)
    return Result(
        scene=scene,
        gusts=gusts,
        cures=found,
        assembly=assembly,
        charts=water.charts,
        drops=water.drops,
        trace=water.trace,
        findings=water.findings,
        film_rounds=water.rounds,
        films_settled=water.settled,
        rows=rows,
        leak_of=leak_of,
        paths=paths,
        seed=seed,
    )


def _making(scene: Scene) -> tuple[str, ...]:
    detail = detail_made(scene)
    if detail is None:
        return ()
    from meshes.around.worth_saying import worth_saying
    from meshes.build import pieces

    return worth_saying(detail, pieces(detail).values())


@contextmanager
def _placed(scene: Scene) -> Iterator[None]:
    """Around what may refuse a scene: its line then begins with the place in the scene's file."""
    try:
        yield
    except SceneError as error:
        key = {"slant": "slant_deg", "wind": "gust_m_s"}.get(str(error).split(" ", 1)[0])
        if key is None:
            raise SceneError(f"{scene.file}: {error}") from error
        if scene.weather.slant == scene.weather.gust == 0.0:
            rule = "must have a part that rain can fall on. Got none with any breadth in plan"
            raise SceneError(f"{scene.file}: {rule}") from error
        place = at(scene.file, scene.lines, ("weather", key))
        rule = "must be smaller: from this side no rain comes down on the covering"
        got = getattr(scene.table.weather, key)
        raise SceneError(f"{place}: {rule}. Got {got:g}") from error


def write(
    result: Result, folder: Path, *, force: bool, picture: bool, remarks: Remarks,
    cut: CutList | None = None,
) -> tuple[str, ...]:  # fmt: skip
    """Write findings.json, paths.vtp, model.glb, page.html, report.html, report.pdf and, if asked for,
    picture.png; their names. cut: the cut list, where the report should hold it.

    Without the page's script, which building the package makes, page.html is left out. The folder is
    the old one whole or the new one whole. Raises SceneError when the disk says no.
    """
    found = result.to_dict()
    files = {
        "findings.json": (json.dumps(found, indent=2, allow_nan=False) + "\n").encode(),
        "paths.vtp": paths_text(result).encode(),
        "model.glb": glb_bytes(result.assembly, result.scene.title),
    }
    from scenes.page.page import script_lacks
    from scenes.page.wording import english
    from scenes.page.write import result_text, too_large
    from scenes.report.html import report_page
    from scenes.report.pdf import report_pdf

    lack = script_lacks()
    if not lack:
        text = result_text(result, english())
        lack = too_large(text)
        files |= {} if lack else {"page.html": text.encode()}
    if lack:
        remarks.say(f"page.html is left out: {lack}")
    with fresh_folder(folder, force=force) as new:
        drawn = None
        if picture:
            from scenes.picture import draw
            from scenes.report.picture import view_alone

            with remarks.step("Drawing the picture"):
                draw(stage_of(result), new / "picture.png")
                drawn = view_alone(new / "picture.png")
        beside = "page.html" in files
        cut_words = _cut_words(result, cut)
        report = report_page(found, result.scene, drawn, page=beside, cut=cut_words)
        files["report.html"] = report.encode()
        files["report.pdf"] = report_pdf(found, result.scene, drawn, page=beside, cut=cut_words)
        write_files(new, files)
    return (*files, "picture.png") if picture else tuple(files)


def _cut_words(result: Result, cut: CutList | None) -> CutTold | None:
    """The cut list as a report says it, its laps those that were measured here."""
    if cut is None:
        return None
    from scenes.cutting.dressing import dressing_of
    from scenes.report.cut_told import cut_told

    return cut_told(cut, dressing_of(result.assembly, result.findings.laps, cut.detail))


def stage_of(result: Result, *, water: bool = True) -> Any:
    """What the picture and the window show of a result; without its paths where no `water` is wanted."""
    from scenes.stage import Stage
    from sim.entering import entering

    scene, fates = result.scene, result.trace.fate[result.rows]
    decides = result.gusts.lowest if result.gusts and water else None
    return Stage.of(
        result.assembly,
        result.findings,
        result.paths if water else None,
        fates=fates if water else None,
        entered=lambda of: entering(result.charts, result.paths.some(of), fates[of]),
        title=scene.title,
        note=note_of(scene),
        weather=result.weather,
        deciding=decides.path if decides else None,
        deciding_words=f"first at {decides.gust:.1f} m/s" if decides else "",
        known=flashings_made_right(scene),
    )


def paths_text(result: Result) -> str:
    """The kept paths as the text of a .vtp file, lengths in metres.

    A line is a drop: its number, fate, leak (0: none) and flow. A point has its kind of event and
    the part that the piece of path which begins there runs on.
    """
    from sim.events import Event
    from sim.fates import Fate

    paths, rows = result.paths, result.rows
    part = result.charts.part[paths.chart].astype(np.int32)
    return vtp_text(
        paths.points,
        paths.start,
        of_points={"event": paths.kind, "part": part},
        of_lines={
            "drop": result.drops.drop[rows],
            "fate": result.trace.fate[rows],
            "leak": result.leak_of,
            "flow_m3_s": result.drops.flow[rows],
        },
        words={
            "units": ["points: m", "flow_m3_s: m3/s"],
            "scene": [result.scene.title],
            "parts by number": [part.name for part in result.assembly],
            "events by number": [event.name.lower() for event in Event],
            "fates by number": [fate.name.lower() for fate in Fate],
        },
    )


def _kept(
    drops: int, leaks: Sequence[NDArray[np.integer]]
) -> tuple[NDArray[np.int64], NDArray[np.int32]]:
    """Which drops' paths are kept, and the leak of each: leaks first, then others evenly spread."""
    lost = max(1, sum(len(rows) for rows in leaks))
    shares = [max(LEAST_LEAK_PATHS, MOST_LEAK_PATHS * len(rows) // lost) for rows in leaks]
    chosen = [
        np.asarray(rows, dtype=np.int64)[evenly(len(rows), share)]
        for rows, share in zip(leaks, shares, strict=True)
    ]
    leaking = np.concatenate([np.zeros(0, np.int64), *chosen])[:MOST_PATHS]
    number = np.repeat(np.arange(1, len(leaks) + 1), [len(rows) for rows in chosen])[:MOST_PATHS]
    in_a_leak = np.concatenate([np.zeros(0, np.int64), *(np.asarray(rows) for rows in leaks)])
    dry = np.setdiff1d(np.arange(drops), in_a_leak)
    others = dry[evenly(len(dry), MOST_PATHS - len(leaking))]
    leak_of = np.concatenate([number, np.zeros(len(others))]).astype(np.int32)
    return np.concatenate([leaking, others]), leak_of
