"""The command that draws one picture."""

from __future__ import annotations

from math import isfinite
from pathlib import Path

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import DROPS, FORCE, FROM, QUIET, SEED, WEATHER

VIEWS = ("eaves", "ridge", "left", "right", "plan")


class Size(click.ParamType):
    """WIDTHxHEIGHT in pixels."""

    name = "WIDTHxHEIGHT"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[int, int]:
        """Two whole numbers with an x between them."""
        if isinstance(value, tuple):
            return value
        try:
            width, height = (int(part) for part in str(value).lower().split("x"))
        except ValueError:
            rule = "must be two whole numbers of pixels, WIDTHxHEIGHT"
            self.fail(f"{rule}. Got {str(value)[:40]!r}", param, ctx)
        return width, height


class Line(click.ParamType):
    """x=MM or y=MM: where a section is cut."""

    name = "x=MM|y=MM"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, float]:
        """The axis and where on it."""
        axis, _, amount = str(value).strip().lower().partition("=")
        try:
            at = float(amount.removesuffix("mm"))
        except ValueError:
            at = float("nan")
        if axis not in ("x", "y") or not isfinite(at):
            self.fail(f"must be x=MM or y=MM. Got {str(value)[:40]!r}", param, ctx)
        return axis, at


@click.command()
@click.argument("scene")
@click.option(
    "-o", "--output", "file", required=True, metavar="FILE", type=click.Path(path_type=Path),
    help="The picture's file, .png.",
)  # fmt: skip
@click.option("--view", type=click.Choice(VIEWS), help="Where it is seen from.  [default: eaves]")
@click.option(
    "--leak",
    type=click.IntRange(1),
    help="Close on the leak of this number, from where it is seen.",
)
@click.option(
    "--apart", is_flag=True, help="The pieces drawn apart in dressing order, without water."
)
@click.option(
    "--section", type=Line(),
    help="Cut through: x=MM up the slope, so far to the right of the middle; y=MM across it, so far "
    "behind the stack's front.",
)  # fmt: skip
@click.option("--size", type=Size(), default=(1600, 1000), help="In pixels.  [default: 1600x1000]")
@FAULT
@WEATHER
@FROM
@DROPS
@SEED
@FORCE
@QUIET
def picture(
    scene: str,
    file: Path,
    view: str | None,
    leak: int | None,
    apart: bool,
    section: tuple[str, float] | None,
    size: tuple[int, int],
    faults: tuple[str, ...],
    case: str | None,
    from_deg: float | None,
    drops: int,
    seed: int,
    force: bool,
    quiet: bool,
) -> None:
    """Draw one picture of a scene.

    With water after rain, as `run` draws it, but from any side; close on a leak; with the pieces apart
    in the order in which they are dressed; or cut through.

    \b
    Example:
        stackrain picture cottage --apart --view ridge -o pieces.png
    """
    from scenes.progress import Remarks
    from scenes.scene import in_weather, load

    dry = [name for name, asked in (("--apart", apart), ("--section", section)) if asked]
    if dry and leak is not None:
        raise click.UsageError(f"{dry[0]} shows no water, so no leak: leave --leak out")
    if section and (apart or view):
        raise click.UsageError("--section has its own view: leave --apart and --view out")
    situation = in_weather(load(scene), case_name=case, from_deg=from_deg)
    situation = with_those(situation, faults)
    from scenes.opengl import problem
    from scenes.picture import check_size
    from scenes.run import run, stage_of
    from scenes.still import check_file, close_on, pieces_apart, write_section, write_still

    check_size(size)
    check_file(file, force=force)
    if not section and (missing := problem()):
        raise click.ClickException(missing)
    remarks = Remarks(quiet=quiet)
    if section:
        with remarks.step("Drawing the section"):
            write_section(situation, section, file, size, force=force)
        click.echo(f"Wrote {file}")
        return
    hold = None
    if apart:
        stage = pieces_apart(situation)
    else:
        result = run(situation, drops=drops, seed=seed, remarks=remarks)
        stage = stage_of(result)
        if leak is not None:
            clear, hold = close_on(result, stage, leak)
            view = view or clear
    with remarks.step("Drawing the picture"):
        write_still(stage, file, size, view=view or VIEWS[0], hold=hold, force=force)
    click.echo(f"Wrote {file}")
