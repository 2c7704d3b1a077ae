"""The command that searches the first-leak gust."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from meshes.errors import SceneError
from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import FORCE, QUIET, THREADS, UNITS

if TYPE_CHECKING:
    from scenes.units import UnitsName


@click.command()
@click.argument("scene")
@click.option(
    "-o", "--output", "folder", metavar="FOLDER", type=click.Path(path_type=Path),
    help="Where gust.json, gust.png and first-leak.png go.",
)  # fmt: skip
@FAULT
@click.option("--inputs", is_flag=True, help="Try the range of each input that is not well known.")
@click.option(
    "--record", "csv", metavar="CSV", type=click.Path(path_type=Path),
    help="Hourly weather: in how many of its hours water would have got in.",
)  # fmt: skip
@click.option(
    "--eaves-look-to", "bearing", type=click.FloatRange(0, 360), metavar="DEGREES",
    help="Compass bearing that the eaves look to, for --record: 0 north, 90 east.",
)  # fmt: skip
@click.option(
    "--gust-factor", type=click.FloatRange(1, 3), metavar="FACTOR",
    help="Gust over mean wind, for hours of the record without a gust.  [default: 1.4]",
)  # fmt: skip
@THREADS
@FORCE
@UNITS
@QUIET
def gust(
    scene: str,
    folder: Path | None,
    faults: tuple[str, ...],
    inputs: bool,
    csv: Path | None,
    bearing: float | None,
    gust_factor: float | None,
    threads: int | None,
    force: bool,
    units: UnitsName,
    quiet: bool,
) -> None:
    """Search the gust at which water first gets in.

    Water stands at every edge that is open to the weather; the wind from each of 16 directions is
    raised until some gets behind the flashings. Prints the gusts as a table and as a rose round the
    stack, with the way in that decides each, and the gust that the measured laps alone would give.

    A record is a CSV with the columns time (ISO 8601, every hour), wind_m_s, wind_from_deg (compass),
    rain_mm and, if there is one, gust_m_s.

    \b
    Example:
        stackrain gust cottage -o results/cottage-gust
    """
    from scenes.progress import Remarks
    from scenes.scene import load

    if (csv is None) != (bearing is None):
        raise click.UsageError("--record and --eaves-look-to go together")
    if gust_factor is not None and csv is None:
        raise click.UsageError("--gust-factor is for --record")
    situation = with_those(load(scene), faults)
    if folder is not None:
        from scenes.folder import check_folder

        check_folder(folder, force=force)
    remarks = Remarks(quiet=quiet)
    record = _read(csv, remarks) if csv is not None else None
    from scenes.gust import gusts_of
    from scenes.gust_inputs import with_inputs
    from scenes.gust_rose import rose
    from scenes.say_gust import gust_answer
    from scenes.units import units_of
    from scenes.units_text import spoken_in

    gusts = gusts_of(situation, seed=0, threads=threads, remarks=remarks)
    found = gusts.found
    if inputs:
        found = with_inputs(situation, gusts, seed=0, threads=threads, remarks=remarks)
    if record is not None and bearing is not None:
        from scenes.gust_hours import hours_told

        found = found | {"hours": hours_told(record, gusts, bearing, gust_factor)}
    with spoken_in(units_of(units)):
        if faults:
            found = found | {"faults": _tell(situation)}
        click.echo(gust_answer(found))
        click.echo(f"\n{rose(found)}")
        if folder is not None:
            from scenes.gust_files import write_gusts
            from scenes.opengl import can_draw

            names = write_gusts(found, gusts, folder, force=force, picture=can_draw(remarks))
            click.echo(f"\nResults are in {folder}: {', '.join(names)}")


def _tell(situation: Any) -> list[dict[str, Any]]:
    """Print what is wrong on purpose; it as plain values."""
    from scenes.faults.apply import told
    from scenes.say_faults import wrong_lines

    wrong = told(situation)
    click.echo("\n".join(wrong_lines(wrong)) + "\n")
    return wrong


def _read(csv: Path, remarks: Any) -> Any:
    from scenes.record import read_record

    try:
        record = read_record(csv)
    except OSError as error:
        raise SceneError(f"{csv}: can't be read ({error.strerror})") from error
    for line in record.remarks():
        remarks.say(line)
    return record
