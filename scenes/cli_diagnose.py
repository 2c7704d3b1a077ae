"""The command that works back from a damp place to what was done wrong."""

from __future__ import annotations

from math import isfinite, radians
from pathlib import Path
from typing import TYPE_CHECKING, get_args

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import FORCE, QUIET, SEED, UNITS
from scenes.weather_words import AFTER_WORDS, SIDES_DEG, After

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from scenes.units import Units, UnitsName

MOST_PLACES = 5


class Place(click.ParamType):
    """X,Y in the units of --units, or each with its own written out; as two texts that can be read."""

    name = "X,Y"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, str]:
        """Two lengths with a comma between them."""
        from scenes.units import METRIC

        text = str(value)
        try:
            x, y = text.split(",")
            known = [isfinite(_length(part, METRIC)) for part in (x, y)]
        except ValueError:  # a SceneError is one
            rule = "must be two lengths, X,Y, as 300,150 or 12in,6in"
            self.fail(f"{rule}. Got {text[:40]!r}", param, ctx)
        if not all(known):
            self.fail(f"must be two finite lengths, X,Y. Got {text[:40]!r}", param, ctx)
        return x, y


class Side(click.ParamType):
    """Where wind comes from: a side of the roof, or degrees."""

    name = "FROM"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Degrees: 0 the eaves, 90 the right."""
        text = str(value).strip().lower()
        if text in SIDES_DEG:
            return SIDES_DEG[text]
        try:
            angle = float(text)
        except ValueError:
            angle = float("nan")
        if not -360 <= angle <= 360:
            words = ", ".join(SIDES_DEG)
            self.fail(f"must be {words} or -360 to 360 degrees. Got {text[:40]!r}", param, ctx)
        return angle


@click.command()
@click.argument("scene")
@click.option(
    "--damp", "damp", type=Place(), multiple=True, required=True,
    help="A damp place on the ceiling, mm (with --units imperial: inches) to the right and up-slope "
    "(level) from the middle of the stack's front, looking up the slope; several by several --damp, "
    "the wettest first.",
)  # fmt: skip
@click.option(
    "--wind", "wind", type=Side(),
    help="Where the wind came from: eaves, right, ridge, left, or degrees (0 the eaves, 90 the "
    "right).  [default: unknown]",
)  # fmt: skip
@click.option(
    "--after", type=click.Choice(get_args(After)),
    help=f"When it came: {AFTER_WORDS}.  [default: unknown]",
)  # fmt: skip
@click.option(
    "-o", "--output", "folder", metavar="FOLDER", type=click.Path(path_type=Path),
    help="Where diagnosis.json and a picture of each of the first three go.",
)  # fmt: skip
@FAULT
@click.option(
    "--processes", type=click.IntRange(1, 256), help="Processes to use.  [default: one a core]"
)
@SEED
@click.option("--no-picture", is_flag=True, help="Leave the pictures out.")
@FORCE
@UNITS
@QUIET
def diagnose(
    scene: str,
    damp: tuple[tuple[str, str], ...],
    wind: float | None,
    after: After | None,
    folder: Path | None,
    faults: tuple[str, ...],
    processes: int | None,
    seed: int,
    no_picture: bool,
    force: bool,
    units: UnitsName,
    quiet: bool,
) -> None:
    """Work back from a damp place to what was done wrong.

    Tries every fault of `stackrain faults` wherever SCENE has room for it, at three sizes, and the
    likeliest two by two; sees where the water of each comes out, and says how likely each is after what
    was seen. SCENE is the stack as it should be; what is known to be wrong goes in by --fault. Takes
    minutes.

    \b
    Example:
        stackrain diagnose cottage --damp 300,150 --wind right --after driving -o results/damp
    """
    from scenes.folder import check_folder
    from scenes.progress import Remarks
    from scenes.scene import load

    if wind is not None and after in ("calm", "blocked"):
        raise click.UsageError(f"--wind is for water that comes with wind, not --after {after}")
    if len(damp) > MOST_PLACES:
        raise click.UsageError(f"--damp: at most {MOST_PLACES} places. Got {len(damp)}")
    situation = with_those(load(scene), faults)
    if folder is not None:
        check_folder(folder, force=force)
    from scenes.diagnose.diagnosis import Seen
    from scenes.diagnose.diagnosis import diagnose as work_back
    from scenes.say_diagnosis import diagnosis_answer
    from scenes.units import units_of
    from scenes.units_text import spoken_in

    remarks = Remarks(quiet=quiet)
    seen = Seen(_metres(damp, units_of(units)), None if wind is None else radians(wind), after)
    found = work_back(situation, seen, seed=seed, processes=processes, remarks=remarks)
    names: tuple[str, ...] = ()
    if folder is not None:
        from scenes.diagnose.files import write_diagnosis
        from scenes.opengl import can_draw

        picture = not no_picture and can_draw(remarks)
        with spoken_in(units_of(units)):
            names = write_diagnosis(found, folder, force=force, picture=picture, remarks=remarks)
    with spoken_in(units_of(units)):
        click.echo(diagnosis_answer(found.to_dict()))
    if folder is not None:
        click.echo(f"\nResults are in {folder}: {', '.join(names)}")


def _metres(damp: tuple[tuple[str, str], ...], units: Units) -> NDArray[np.float64]:
    import numpy as np

    rows = [[_length(part, units) for part in place] for place in damp]
    return np.array(rows, dtype=np.float64) / 1000


def _length(text: str, units: Units) -> float:
    """A length [mm] left or right, up or down: `-300`, `12 1/2 in`. Raises ValueError."""
    try:
        return float(text) * float(units.small * 1000)
    except ValueError:
        from scenes.measuring import reading

        short = text.strip()
        sign = -1 if short.startswith("-") else 1
        return float(sign * reading.length(short.removeprefix("-"), units) * 1000)
