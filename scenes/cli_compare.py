"""The command that rains on two scenes and tells them apart."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import DROPS, FORCE, FROM, QUIET, SEED, THREADS, UNITS, WEATHER

if TYPE_CHECKING:
    from scenes.units import UnitsName


@click.command()
@click.argument("scene")
@click.argument("other", required=False)
@FAULT
@click.option(
    "-o", "--output", "folder", required=True, metavar="FOLDER", type=click.Path(path_type=Path),
    help="Where compare.json, lesson.html, page.html and compare.png go.",
)  # fmt: skip
@WEATHER
@FROM
@click.option("--gust", is_flag=True, help="Search the first-leak gust of both as well.")
@DROPS
@SEED
@THREADS
@click.option("--no-picture", is_flag=True, help="Leave the pictures out, those of the lesson too.")
@FORCE
@UNITS
@QUIET
def compare(
    scene: str,
    other: str | None,
    faults: tuple[str, ...],
    folder: Path,
    case: str | None,
    from_deg: float | None,
    gust: bool,
    drops: int,
    seed: int,
    threads: int | None,
    no_picture: bool,
    force: bool,
    units: UnitsName,
    quiet: bool,
) -> None:
    """Show right and wrong side by side, under the same rain.

    Compares SCENE with OTHER, or with itself after something is got wrong by --fault. Both stand in the
    weather of SCENE and get the same drops. Prints what differs and what it does, and writes
    compare.json, a picture and a page to turn with both under one camera, and a lesson of one page
    with a question.

    \b
    Example:
        stackrain compare cottage --fault "side over the gutter" -o results/lesson
    """
    from scenes.folder import check_folder
    from scenes.progress import Remarks
    from scenes.scene import in_weather, load

    if (other is None) == (not faults):
        got = "both" if other else "neither"
        raise click.UsageError(f"compare needs a second scene or --fault, one of them. Got {got}")
    first = in_weather(load(scene), case_name=case, from_deg=from_deg)
    second = with_those(first, faults) if other is None else load(other)
    check_folder(folder, force=force)
    from scenes.compare import compared
    from scenes.compare_files import write_comparison
    from scenes.compare_say import comparison
    from scenes.opengl import can_draw
    from scenes.units import units_of
    from scenes.units_text import spoken_in

    remarks = Remarks(quiet=quiet)
    both = compared(
        first, second, drops=drops, seed=seed, gust=gust, threads=threads, remarks=remarks
    )
    picture = not no_picture and can_draw(remarks)
    with spoken_in(units_of(units)):
        names = write_comparison(both, folder, force=force, picture=picture, remarks=remarks)
        click.echo(comparison(both.found))
    click.echo(f"\nResults are in {folder}: {', '.join(names)}")
