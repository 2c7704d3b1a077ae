"""The command that works out one scene many times over, with parameters varied."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from scenes.cli_faults import FAULT
from scenes.cli_options import DROPS, FROM, QUIET, SEED, STOPPED, UNITS, WEATHER

if TYPE_CHECKING:
    from scenes.sweep.key import Place, Value
    from scenes.sweep.measure import MeasureName
    from scenes.units import UnitsName

MOST_PROCESSES = 1024


@click.command()
@click.argument("scene")
@click.option(
    "--vary", "varied", multiple=True, required=True, metavar="KEY=FROM:TO:STEP",
    help="A key of the scene file and its values, in the key's own unit (mm, degrees) whatever --units says; "
    "or a list, KEY=a,b,c. Several by several --vary: every combination.",
)  # fmt: skip
@click.option(
    "--measure", type=click.Choice(("leak", "first-leak-gust", "cut-area")), default="leak",
    show_default=True,
    help="What gets in of the scene's rain; the gust that first drives water in; m2 of sheet metal.",
)  # fmt: skip
@click.option(
    "-o", "--output", "folder", required=True, metavar="FOLDER", type=click.Path(path_type=Path),
    help="Where sweep.csv, sweep.parquet and map.png go, and each case as it is done.",
)  # fmt: skip
@click.option(
    "--sample", type=click.IntRange(1), metavar="N",
    help="N cases spread evenly over the ranges, instead of every combination.",
)  # fmt: skip
@FAULT
@WEATHER
@FROM
@DROPS
@SEED
@click.option(
    "--processes", type=click.IntRange(1, MOST_PROCESSES),
    help="Processes to use.  [default: one a core]",
)  # fmt: skip
@click.option(
    "--scheduler", metavar="ADDRESS",
    help="Let the workers of this Dask scheduler do it: tcp://HOST:8786.",
)  # fmt: skip
@click.option("--no-picture", is_flag=True, help="Leave map.png out.")
@click.option("--force", is_flag=True, help="Begin anew, whatever FOLDER holds.")
@UNITS
@QUIET
def sweep(
    scene: str,
    varied: tuple[str, ...],
    measure: MeasureName,
    folder: Path,
    sample: int | None,
    faults: tuple[str, ...],
    case: str | None,
    from_deg: float | None,
    drops: int,
    seed: int,
    processes: int | None,
    scheduler: str | None,
    no_picture: bool,
    force: bool,
    units: UnitsName,
    quiet: bool,
) -> None:
    """Work out a scene many times over: a table and a map.

    Keys are those of the scene file (`roof.pitch_deg`, or `pitch` where no other is called so), the words
    of the stand's sliders (`side cover`), `weather`, `from`, `fault`, and faults that have an amount. Each
    case is kept as it is done: after a stop, the same command goes on. A case that can't be built is a row
    with the reason.

    \b
    Example:
        stackrain sweep cottage --weather driving --vary pitch=20:45:5 \\
            --vary "side cover=40:150:10" -o results/map
    """
    from scenes.progress import Remarks

    if processes is not None and scheduler is not None:
        raise click.UsageError("--processes is for this machine, --scheduler for others")
    from scenes.sweep.asked import sweep_of
    from scenes.sweep.cases import cases_of
    from scenes.sweep.varied import varied_of

    some = [varied_of(text) for text in varied]
    asked = sweep_of(
        scene, some, measure=measure, sample=sample, seed=seed, drops=drops,
        settings=_settings(case, from_deg), faults=faults,
    )  # fmt: skip
    cases = cases_of(some, sample, seed)
    remarks = Remarks(quiet=quiet)
    from scenes.sweep.files import write_sweep
    from scenes.sweep.shown import shown_of
    from scenes.sweep.store import opened
    from scenes.sweep.words import answer
    from scenes.sweep.work import work, workers
    from scenes.units import units_of
    from scenes.units_text import spoken_in

    with (
        workers(processes, scheduler, remarks) as hands,
        opened(folder, asked, cases, force=force) as store,
    ):
        try:
            work(asked, cases, store, hands, remarks)
            shown = shown_of(asked, store.rows)
            said = spoken_in(units_of(units))
            with remarks.step("Writing the tables and drawing the map"), said:
                names = write_sweep(folder, asked, store, shown, picture=not no_picture)
        except KeyboardInterrupt:
            _stop(len(store.rows), len(cases))
    with spoken_in(units_of(units)):
        click.echo(answer(shown, store.rows))
    click.echo(f"\nResults are in {folder}: {', '.join(names)}")


def _settings(case: str | None, from_deg: float | None) -> dict[Place, Value]:
    """What the options say of the weather, by the key of the scene file."""
    from scenes.weather import case as known

    settings: dict[Place, Value] = {}
    if case is not None:
        settings["weather", "case"] = known(case).name
    if from_deg is not None:
        settings["weather", "from_deg"] = from_deg
    return settings


def _stop(done: int, of: int) -> NoReturn:
    from scenes.sweep.case import GOES_ON

    click.echo(f"stackrain: stopped; {done:,} of {of:,} cases are kept, {GOES_ON}", err=True)
    click.get_current_context().exit(STOPPED)
