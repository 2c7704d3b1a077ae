"""The command that works back from a damp place to what was done wrong."""

from __future__ import annotations

from math import isfinite, radians
from pathlib import Path
from typing import TYPE_CHECKING, get_args

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import FORCE, QUIET, SEED
from scenes.weather_words import AFTER_WORDS, SIDES_DEG, After

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_PLACES = 5


class Place(click.ParamType):
    """X,Y in millimetres."""

    name = "X,Y"

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        """Two numbers with a comma between them."""
        text = str(value)
        try:
            x, y = (float(part) for part in text.split(","))
        except ValueError:
            self.fail(f"must be two numbers of mm, X,Y. Got {text[:40]!r}", param, ctx)
        if not (isfinite(x) and isfinite(y)):
            self.fail(f"must be two finite numbers of mm. Got {text[:40]!r}", param, ctx)
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
    help="A damp place on the ceiling, mm to the right and up-slope (level) from the middle of the "
    "stack's front, looking up the slope; several by several --damp, the wettest first.",
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
@QUIET
def diagnose(
    scene: str,
    damp: tuple[tuple[float, float], ...],
    wind: float | None,
    after: After | None,
    folder: Path | None,
    faults: tuple[str, ...],
    processes: int | None,
    seed: int,
    no_picture: bool,
    force: bool,
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

    remarks = Remarks(quiet=quiet)
    seen = Seen(_metres(damp), None if wind is None else radians(wind), after)
    found = work_back(situation, seen, seed=seed, processes=processes, remarks=remarks)
    names: tuple[str, ...] = ()
    if folder is not None:
        from scenes.diagnose.files import write_diagnosis
        from scenes.opengl import can_draw

        picture = not no_picture and can_draw(remarks)
        names = write_diagnosis(found, folder, force=force, picture=picture, remarks=remarks)
    click.echo(diagnosis_answer(found.to_dict()))
    if folder is not None:
        click.echo(f"\nResults are in {folder}: {', '.join(names)}")


def _metres(damp: tuple[tuple[float, float], ...]) -> NDArray[np.float64]:
    import numpy as np

    return np.array(damp, dtype=np.float64) / 1000
