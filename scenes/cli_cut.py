"""The command that lists what to cut, and writes a pattern of each blank."""

from __future__ import annotations

from pathlib import Path

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import FORCE

CANT_BE_CUT = 1


@click.command()
@click.argument("scene")
@click.option(
    "-o", "--output", "folder", metavar="FOLDER", type=click.Path(path_type=Path),
    help="Where cut-list.csv goes, and patterns, a DXF and an SVG of each blank at full size.",
)  # fmt: skip
@FAULT
@click.option(
    "--stock", "sizes", multiple=True, metavar="WIDTHxLENGTH",
    help="Cut from this [mm] instead of the usual rolls and sheets; several by several --stock.",
)  # fmt: skip
@FORCE
@click.option("--strict", is_flag=True, help="Exit 1 when a blank fits none of the stock.")
def cut(
    scene: str,
    folder: Path | None,
    faults: tuple[str, ...],
    sizes: tuple[str, ...],
    force: bool,
    strict: bool,
) -> None:
    """List what to cut: blanks, bend lines, steps, stock.

    Every piece laid flat: its size, each bend line with its distance, angle and way, joints, laps, hand
    and mass, and how the blanks lie on rolls and sheets with the waste.

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
    from scenes.cutting.say import cut_text
    from scenes.cutting.stock import asked_stock

    found = cut_list(situation, asked_stock(sizes))
    names: list[str] = []
    if folder is not None:
        from scenes.cutting.files import write

        names = write(found, folder, force=force)
    click.echo(cut_text(found))
    if folder is not None:
        click.echo(f"\nThe cut list is in {folder}: {', '.join(names)}")
    if strict and found.left_out:
        click.get_current_context().exit(CANT_BE_CUT)
