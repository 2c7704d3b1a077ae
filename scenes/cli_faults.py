"""The command that lists what can be got wrong, and the option that gets it wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from scenes.cli_options import UNITS

if TYPE_CHECKING:
    from scenes.scene import Scene
    from scenes.units import UnitsName

FAULT = click.option(
    "--fault", "faults", multiple=True, metavar="NAME[@WHERE][=HOW MUCH]",
    help="Get this wrong on purpose; several at once by several --fault. `stackrain faults` lists them.",
)  # fmt: skip


def with_those(scene: Scene, faults: tuple[str, ...]) -> Scene:
    """The scene with the faults asked for; nothing is loaded where there are none."""
    if not faults:
        return scene
    from scenes.faults.apply import with_faults

    return with_faults(scene, faults)


@click.command()
@click.argument("scene", required=False)
@UNITS
def faults(scene: str | None, units: UnitsName) -> None:
    """List what roofers get wrong: each fault's name, where it may be, and how bad.

    With SCENE: which faults the scene has room for, and why not the others.

    \b
    Example:
        stackrain faults cottage
        stackrain run cottage --fault "cover too narrow@left=90" -o results/narrow
    """
    from scenes.faults.listing import listed, listed_for
    from scenes.units import units_of
    from scenes.units_text import spoken_in

    if scene is None:
        with spoken_in(units_of(units)):
            click.echo(listed())
        return
    from scenes.progress import Remarks
    from scenes.scene import load

    situation = load(scene)
    with Remarks().step("Building the scene with each fault"), spoken_in(units_of(units)):
        told = listed_for(situation)
    click.echo(told)
