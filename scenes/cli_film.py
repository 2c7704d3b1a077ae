"""The command that lets the drops run."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import DROPS, FORCE, FROM, QUIET, SEED, UNITS, WEATHER

if TYPE_CHECKING:
    from scenes.units import UnitsName
from scenes.cli_picture import VIEWS, Size


@click.command()
@click.argument("scene")
@click.option(
    "-o", "--output", "file", required=True, metavar="FILE", type=click.Path(path_type=Path),
    help="The film's file, .mp4 or .gif.",
)  # fmt: skip
@click.option("--seconds", type=float, default=10.0, show_default=True, help="How long it is.")
@click.option(
    "--view", type=click.Choice(VIEWS), default=VIEWS[0], show_default=True,
    help="Where it is seen from.",
)  # fmt: skip
@click.option("--size", type=Size(), default=(1280, 720), help="In pixels.  [default: 1280x720]")
@click.option(
    "--slow", type=float, default=2.0, show_default=True,
    help="How many times slower than in truth water moves.",
)  # fmt: skip
@FAULT
@click.option("--beside", is_flag=True, help="Beside the same scene without the faults.")
@WEATHER
@FROM
@DROPS
@SEED
@FORCE
@UNITS
@QUIET
def film(
    scene: str,
    file: Path,
    seconds: float,
    view: str,
    size: tuple[int, int],
    slow: float,
    faults: tuple[str, ...],
    beside: bool,
    case: str | None,
    from_deg: float | None,
    drops: int,
    seed: int,
    force: bool,
    units: UnitsName,
    quiet: bool,
) -> None:
    """Show the drops running over a scene, and each leak from near by.

    Water moves at the speed of a film as thick as the rain makes it, slowed by --slow. Drops out of sight
    are rings; those that get behind the flashings are red and larger.

    \b
    Example:
        stackrain film cottage --fault "side over the gutter" --beside -o lesson.mp4
    """
    from scenes.progress import Remarks
    from scenes.scene import in_weather, load

    if beside and not faults:
        raise click.UsageError(
            "--beside shows a scene with and without its faults: it needs --fault"
        )
    right = in_weather(load(scene), case_name=case, from_deg=from_deg)
    wrong = with_those(right, faults)
    from scenes.film.files import ENDINGS, lacking
    from scenes.film.make import Cut, reels, write_film
    from scenes.opengl import problem
    from scenes.run import run
    from scenes.units import units_of
    from scenes.units_text import spoken_in
    from scenes.whole_file import check_file, whole_file

    cut = Cut(seconds, size, view, slow)
    check_file(file, force=force, endings=ENDINGS)
    ending = file.suffix.lower()
    if missing := lacking(ending) or problem():
        raise click.ClickException(missing)
    remarks = Remarks(quiet=quiet)
    situations = [right, wrong] if beside else [wrong]
    results = [run(one, drops=drops, seed=seed, remarks=remarks) for one in situations]
    with spoken_in(units_of(units)):
        with remarks.step("Drawing the roof"):
            made = reels(results, cut)
        with (
            remarks.step("Drawing the frames"),
            whole_file(file, force=force, endings=ENDINGS) as half,
        ):
            count = write_film(made, cut, half, ending=ending)
    click.echo(f"Wrote {file}: {count} frames")
