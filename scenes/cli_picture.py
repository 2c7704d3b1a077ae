"""The command that draws one picture."""

from __future__ import annotations

from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import DROPS, FORCE, FROM, QUIET, SEED, UNITS, WEATHER

if TYPE_CHECKING:
    from scenes.units import UnitsName

VIEWS = ("eaves", "ridge", "left", "right", "plan", "front", "back")
FIELDS = ("flow", "film", "head", "wetness", "laps")


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
    """x=MM, y=MM or X,Y:X,Y: where a section is cut, as two points in plan [mm]."""

    name = "x=MM|y=MM|X,Y:X,Y"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[tuple[float, float], tuple[float, float]]:
        """Two points that are not one."""
        text = str(value).strip().lower().replace("mm", "").replace(" ", "")
        try:
            found = _line(text)
        except ValueError:
            self.fail(f"must be x=MM, y=MM or X,Y:X,Y. Got {str(value)[:40]!r}", param, ctx)
        return found


def _line(text: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Two points [mm] of a line. Raises ValueError for anything else, and for one point twice."""
    axis, equals, amount = text.partition("=")
    if equals:
        at = float(amount)
        one, other = {"x": ((at, 0.0), (at, 1000.0)), "y": ((0.0, at), (1000.0, at))}.get(
            axis, ((0.0, 0.0), (0.0, 0.0))
        )
    else:
        (x1, y1), (x2, y2) = (part.split(",") for part in text.split(":"))
        one, other = (float(x1), float(y1)), (float(x2), float(y2))
    if not all(isfinite(value) for value in (*one, *other)) or one == other:
        raise ValueError
    return one, other


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
    "behind the stack's front; X,Y:X,Y along any line, by two points to the right and behind.",
)  # fmt: skip
@click.option(
    "--field", type=click.Choice(FIELDS),
    help="An amount on the surfaces in place of the pieces' colours: how much water runs over them, how "
    "thick its film is, how high the wind lifts water there, how much of them is wet, how long laps are of "
    "what is asked.",
)  # fmt: skip
@click.option("--see-through", is_flag=True, help="Let what lies beneath the covering show.")
@click.option(
    "--perspective", is_flag=True, help="As an eye near by sees it; lengths can't be measured off."
)
@click.option("--size", type=Size(), default=(1600, 1000), help="In pixels.  [default: 1600x1000]")
@FAULT
@WEATHER
@FROM
@DROPS
@SEED
@FORCE
@UNITS
@QUIET
def picture(
    scene: str,
    file: Path,
    view: str | None,
    leak: int | None,
    apart: bool,
    section: tuple[tuple[float, float], tuple[float, float]] | None,
    field: str | None,
    see_through: bool,
    perspective: bool,
    size: tuple[int, int],
    faults: tuple[str, ...],
    case: str | None,
    from_deg: float | None,
    drops: int,
    seed: int,
    force: bool,
    units: UnitsName,
    quiet: bool,
) -> None:
    """Draw one picture of a scene.

    With water after rain, as `run` draws it, but from any side; close on a leak; with the pieces apart
    in the order in which they are dressed; or cut through. With an amount on its surfaces, its covering
    see-through, or in perspective.

    \b
    Example:
        stackrain picture cottage --apart --view ridge -o pieces.png
        stackrain picture cottage --weather driving --field head -o head.png
    """
    from scenes.progress import Remarks
    from scenes.scene import in_weather, load

    dry = [name for name, asked in (("--apart", apart), ("--section", section)) if asked]
    if dry and leak is not None:
        raise click.UsageError(f"{dry[0]} shows no water, so no leak: leave --leak out")
    if dry and field is not None:
        raise click.UsageError(f"{dry[0]} shows no water, so no amounts: leave --field out")
    if section and (apart or view):
        raise click.UsageError("--section has its own view: leave --apart and --view out")
    if section and (see_through or perspective):
        raise click.UsageError("--section is flat: leave --see-through and --perspective out")
    situation = in_weather(load(scene), case_name=case, from_deg=from_deg)
    situation = with_those(situation, faults)
    from scenes.opengl import problem
    from scenes.picture import check_size
    from scenes.run import run, stage_of
    from scenes.stage_fields import check_field, field_of
    from scenes.stage_shown import see_through as opened
    from scenes.stage_shown import with_field
    from scenes.still import close_on, pieces_apart, write_section, write_still
    from scenes.units import units_of
    from scenes.units_text import spoken_in
    from scenes.whole_file import check_file

    check_size(size)
    if field is not None:
        check_field(field, situation.weather)
    check_file(file, force=force)
    if not section and (missing := problem()):
        raise click.ClickException(missing)
    remarks = Remarks(quiet=quiet)
    if section:
        with remarks.step("Drawing the section"), spoken_in(units_of(units)):
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
        if field is not None:
            with remarks.step("Adding up the amounts on the surfaces"):
                stage = with_field(stage, field_of(result, field))
    if see_through:
        stage = opened(stage)
    with remarks.step("Drawing the picture"), spoken_in(units_of(units)):
        write_still(
            stage,
            file,
            size,
            view=view or VIEWS[0],
            hold=hold,
            force=force,
            perspective=perspective,
        )
    click.echo(f"Wrote {file}")
