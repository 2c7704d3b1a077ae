"""The command that lists what to cut, and writes a pattern of each blank."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import FORCE, UNITS

if TYPE_CHECKING:
    from scenes.paper.sizes import PaperName
    from scenes.units import UnitsName

CANT_BE_CUT = 1


@click.command()
@click.argument("scene")
@click.option(
    "-o", "--output", "folder", metavar="FOLDER", type=click.Path(path_type=Path),
    help="Where cut-list.csv and cut-list.pdf go, and patterns, a DXF and an SVG of each blank at full size.",
)  # fmt: skip
@FAULT
@click.option(
    "--stock", "sizes", multiple=True, metavar="WIDTHxLENGTH",
    help="Cut from this [mm] instead of the usual rolls and sheets; several by several --stock.",
)  # fmt: skip
@click.option(
    "--order", is_flag=True,
    help="Measure the laps too: what laps what in the dressing order, by how much.",
)  # fmt: skip
@click.option(
    "--paper", type=click.Choice(("a4", "a3", "letter")), default="a4", show_default=True,
    help="Size of the PDF's pages.",
)  # fmt: skip
@UNITS
@FORCE
@click.option("--strict", is_flag=True, help="Exit 1 when a blank fits none of the stock.")
def cut(
    scene: str,
    folder: Path | None,
    faults: tuple[str, ...],
    sizes: tuple[str, ...],
    order: bool,
    paper: PaperName,
    units: UnitsName,
    force: bool,
    strict: bool,
) -> None:
    """List what to cut: blanks, bends, steps, stock, dressing order.

    Every piece laid flat: its size, each bend line with its distance, angle and way, joints, laps, hand
    and mass, and how the blanks lie on rolls and sheets with the waste. With -o the same as pages to
    print, each blank drawn to scale, and a picture for each step of the dressing.

    \b
    Example:
        stackrain cut cottage
        stackrain cut cottage -o results/cottage --stock 300x6000
    """
    from scenes.scene import load

    situation = with_those(load(scene), faults)
    if folder is not None:
        from scenes.folder import check_folder

        check_folder(folder, force=force)
    from scenes.cutting.cut_list import cut_list
    from scenes.cutting.dressing import dressing_order
    from scenes.cutting.say import cut_text
    from scenes.cutting.stock import asked_stock
    from scenes.units import units_of
    from scenes.units_text import spoken_in

    found = cut_list(situation, asked_stock(sizes))
    dressing = dressing_order(situation, found.detail) if order or folder is not None else None
    names: list[str] = []
    if folder is not None:
        assert dressing is not None
        from scenes.cutting.files import write
        from scenes.paper.sizes import SIZES

        names = write(
            found, folder, situation, dressing,
            force=force, size=SIZES[paper], units=units_of(units),
        )  # fmt: skip
    with spoken_in(units_of(units)):
        click.echo(cut_text(found, dressing))
    if folder is not None:
        click.echo(f"\nThe cut list is in {folder}: {', '.join(names)}")
    if strict and found.left_out:
        click.get_current_context().exit(CANT_BE_CUT)
