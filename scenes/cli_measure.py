"""The command that writes the measure sheet, to print and take up to the roof."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scenes.cli_options import UNITS

if TYPE_CHECKING:
    from scenes.paper.sizes import PaperName
    from scenes.units import UnitsName

ENDINGS = (".pdf", ".svg")


@click.command(name="measure-sheet")
@click.option(
    "-o", "--output", "file", required=True, metavar="FILE", type=click.Path(path_type=Path),
    help="Where it goes: a name that ends in .pdf or .svg.",
)  # fmt: skip
@click.option(
    "--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True,
    help="Size of the paper.",
)  # fmt: skip
@click.option("--how", is_flag=True, help="A second page that tells how each is measured (PDF).")
@UNITS
@click.option("--force", is_flag=True, help="Replace a file that is there.")
def measure_sheet(file: Path, paper: PaperName, how: bool, units: UnitsName, force: bool) -> None:
    """Write a sheet to measure a stack by.

    One page: roof and stack from the side and from above with a letter at every measure, a blank for each
    in the order in which `stackrain new NAME --ask` asks for it, boxes to tick, and the cautions.

    \b
    Example:
        stackrain measure-sheet -o sheet.pdf --paper letter --units imperial
    """
    from scenes.whole_file import check_file, whole_file

    if how and file.suffix.lower() == ".svg":
        raise click.UsageError("--how adds a page, which an SVG can't hold: write a PDF")
    check_file(file, force=force, endings=ENDINGS)
    from scenes.measuring.sheet import sheet_bytes
    from scenes.units import units_of

    content = sheet_bytes(file, paper, units_of(units), how=how)
    with whole_file(file, force=force, endings=ENDINGS) as half:
        half.write_bytes(content)
    click.echo(f"Wrote {file}. Print it at full size, then: stackrain new NAME --ask")
