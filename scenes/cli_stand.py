"""The command that serves the live stand."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import FROM, THREADS, UNITS, WEATHER

if TYPE_CHECKING:
    from scenes.units import UnitsName


@click.command()
@click.argument("scene", default="cottage", required=False)
@FAULT
@WEATHER
@FROM
@click.option(
    "--host", default="127.0.0.1", show_default=True, metavar="ADDRESS",
    help="Listen there; any but this computer's own gives the address a token.",
)  # fmt: skip
@click.option(
    "--port", default=8026, show_default=True, type=click.IntRange(0, 65535),
    help="Listen at this port; 0 for any that is free.",
)  # fmt: skip
@click.option("--open", "open_it", is_flag=True, help="Open it in the browser.")
@click.option(
    "--words", "words_file", metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="The page's own words in another language; see `stackrain page`.",
)  # fmt: skip
@THREADS
@UNITS
def stand(
    scene: str,
    faults: tuple[str, ...],
    case: str | None,
    from_deg: float | None,
    host: str,
    port: int,
    open_it: bool,
    words_file: Path | None,
    threads: int | None,
    units: UnitsName,
) -> None:
    """Change a scene and watch the water, in a browser.

    Serves a page with sliders for the measures, laps, order and weather, and with everything that can
    be got wrong. Each change is built, rained on and told at once. Only this computer can open it,
    unless --host says otherwise. Ctrl-C ends it.

    \b
    Example:
        stackrain stand terrace --open
    """
    from scenes.page.page import script_lacks
    from scenes.page.wording import words_of
    from scenes.scene import find, in_weather, load

    situation = in_weather(load(scene), case_name=case, from_deg=from_deg)
    situation = with_those(situation, faults)
    words = words_of(words_file)
    if lack := script_lacks():
        raise click.ClickException(lack)
    from scenes.stand.asked import Bench
    from scenes.stand.serve import stand_of
    from scenes.units import units_of

    bench = Bench.of(situation, find(scene).parent, units_of(units))
    served = stand_of(bench, words, host=host, port=port, threads=threads)
    click.echo(f"The stand is at {served.address}\nCtrl-C ends it.")
    if open_it:
        click.launch(served.address)
    served.serve()
