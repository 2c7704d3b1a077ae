"""The command that opens a window to turn, peel, play and ask."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import DROPS, FROM, SEED, UNITS, WEATHER

if TYPE_CHECKING:
    from scenes.units import UnitsName


@click.command()
@click.argument("scene")
@FAULT
@WEATHER
@FROM
@click.option("--cures", is_flag=True, help="Look for the least changes that stop each leak.")
@DROPS
@SEED
@UNITS
def show(
    scene: str,
    faults: tuple[str, ...],
    case: str | None,
    from_deg: float | None,
    cures: bool,
    drops: int,
    seed: int,
    units: UnitsName,
) -> None:
    """Turn a scene about in a window, take its pieces off, let water run, and ask.

    A click on a piece, a path, the edge of a lap or the number of a leak tells its figures. Keys step
    through the leaks, play the drops, hide, peel and part the pieces; the window lists them. Needs a
    display.

    \b
    Example:
        stackrain show cottage --fault "side over the gutter@left"
    """
    from scenes.scene import in_weather, load

    situation = in_weather(load(scene), case_name=case, from_deg=from_deg)
    situation = with_those(situation, faults)
    if cures:
        from scenes.cures.asked import check_curable

        check_curable(situation)
    from scenes.opengl import need_screen

    need_screen()
    from scenes.run import run as run_scene
    from scenes.units import units_of
    from scenes.units_text import spoken_in
    from scenes.window.live import open_window

    result = run_scene(situation, drops=drops, seed=seed, cures=cures)
    with spoken_in(units_of(units)):
        open_window(result)
