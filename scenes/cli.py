"""The command line: a thin skin. Results on standard output, remarks and errors on standard error.

Only click is loaded here; a command loads what it needs when it is called.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TextIO

import click

from meshes.errors import SceneError
from scenes import __version__
from scenes.cli_compare import compare as compare_command
from scenes.cli_cut import cut as cut_command
from scenes.cli_diagnose import diagnose as diagnose_command
from scenes.cli_faults import FAULT, with_those
from scenes.cli_faults import faults as faults_command
from scenes.cli_film import film as film_command
from scenes.cli_gust import gust as gust_command
from scenes.cli_measure import measure_sheet as measure_command
from scenes.cli_new import new as new_command
from scenes.cli_options import DROPS, FORCE, FROM, QUIET, SEED, STOPPED, THREADS, UNITS, WEATHER
from scenes.cli_page import page as page_command
from scenes.cli_picture import picture as picture_command
from scenes.cli_ready import ready as ready_command
from scenes.cli_show import show as show_command
from scenes.cli_stand import stand as stand_command
from scenes.cli_sweep import sweep as sweep_command

if TYPE_CHECKING:
    from scenes.units import UnitsName

UNUSABLE_INPUT = 2
FOUND_FAULTS = 1


class Commands(click.Group):
    """Commands whose errors are one line on standard error: exit 2 for input that can't be used."""

    def main(self, *args: Any, standalone_mode: bool = True, **extra: Any) -> Any:
        """Run the command line. Leaves with exit 0, 1 (--strict), 2 (input) or 130 (stopped)."""
        for stream in (sys.stdout, sys.stderr):
            _never_fail_on_letters(stream)
        try:
            code: Any = super().main(*args, standalone_mode=False, **extra)  # type: ignore[call-overload]
        except click.UsageError as error:
            hint = f" (see {error.ctx.command_path} --help)" if error.ctx else ""
            code = _complain(f"{error.format_message()}{hint}")
        except (click.ClickException, SceneError) as error:
            code = _complain(str(error))
        except (click.Abort, KeyboardInterrupt):
            _complain("stopped; nothing was written")
            code = STOPPED
        except BrokenPipeError:
            code = _reader_left()
        except MemoryError:
            code = _complain("not enough memory: fewer drops or smaller meshes need less")
        except OSError as error:
            # Files are looked after where they are written: this is standard output, on a full disk.
            code = _complain(f"the answer can't be printed ({error.strerror or error})")
            _drop_output()
        if standalone_mode:
            sys.exit(code if isinstance(code, int) else 0)
        return code


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, prog_name="stackrain")
@click.pass_context
def cli(context: click.Context) -> None:
    """Show what rain does at a chimney: where it gets behind the flashings, and why.

    SCENE is a scene file, or the name of a scene of the library.

    \b
    Example:
        stackrain run cottage -o results/cottage
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())


@cli.command()
def scenes() -> None:
    """List the scenes of the library.

    \b
    Example:
        stackrain scenes
    """
    from scenes.scene import load, names

    for name in names():
        scene = load(name)
        click.echo(f"{name:<12}{scene.title}. {scene.note}")


@cli.command()
@click.argument("scene")
@click.option(
    "-o",
    "--output",
    "folder",
    required=True,
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="Where findings.json, paths.vtp, model.glb, page.html, report.html and picture.png go.",
)
@FAULT
@WEATHER
@FROM
@click.option("--gust", is_flag=True, help="Search the first-leak gust as well.")
@click.option("--cures", is_flag=True, help="Look for the least changes that stop each leak.")
@click.option("--cut-list", is_flag=True, help="The report also says what to cut, in which order.")
@DROPS
@SEED
@THREADS
@click.option("--no-picture", is_flag=True, help="Leave picture.png out.")
@FORCE
@click.option("--strict", is_flag=True, help="Exit 1 when there is a leak or a lap too short.")
@UNITS
@QUIET
def run(
    scene: str,
    folder: Path,
    faults: tuple[str, ...],
    case: str | None,
    from_deg: float | None,
    gust: bool,
    cures: bool,
    cut_list: bool,
    drops: int,
    seed: int,
    threads: int | None,
    no_picture: bool,
    force: bool,
    strict: bool,
    units: UnitsName,
    quiet: bool,
) -> None:
    """Let rain fall on a scene, say where it goes.

    Writes findings.json, paths.vtp, model.glb, page.html, report.html and picture.png to the folder.
    Prints the verdict, the shares of the water with standard errors, every leak and every lap. Points
    are (x, y, z): to the right looking up the slope, up-slope, upwards, from the middle of the stack's
    front face.

    \b
    Example:
        stackrain run cottage -o results/cottage --drops 200000
    """
    from scenes.folder import check_folder
    from scenes.progress import Remarks
    from scenes.scene import in_weather, load

    situation = in_weather(load(scene), case_name=case, from_deg=from_deg)
    situation = with_those(situation, faults)
    if cures:
        from scenes.cures.asked import check_curable

        check_curable(situation)
    check_folder(folder, force=force)
    cut = None
    if cut_list:
        from scenes.cutting.cut_list import cut_list as listed

        cut = listed(situation)
    from scenes.opengl import can_draw
    from scenes.run import run as run_scene
    from scenes.run import write
    from scenes.say import answer
    from scenes.units import units_of
    from scenes.units_text import spoken_in

    remarks = Remarks(quiet=quiet)
    result = run_scene(
        situation, drops=drops, seed=seed, gust=gust, cures=cures, threads=threads, remarks=remarks
    )
    picture = not no_picture and can_draw(remarks)
    with spoken_in(units_of(units)):
        names = write(result, folder, force=force, picture=picture, remarks=remarks, cut=cut)
    found = result.to_dict()
    click.echo(answer(found, units_of(units)))
    click.echo(f"\nResults are in {folder}: {', '.join(names)}")
    if strict and (found["leaks"] or not all(lap["ok"] for lap in found["laps"])):
        click.get_current_context().exit(FOUND_FAULTS)


cli.add_command(new_command)
cli.add_command(measure_command)
cli.add_command(gust_command)
cli.add_command(compare_command)
cli.add_command(faults_command)
cli.add_command(diagnose_command)
cli.add_command(picture_command)
cli.add_command(film_command)
cli.add_command(page_command)
cli.add_command(ready_command)
cli.add_command(show_command)
cli.add_command(stand_command)
cli.add_command(cut_command)
cli.add_command(sweep_command)


def main() -> None:
    """Entry of the console script."""
    _end_tidily()
    cli.main(prog_name="stackrain")


def _complain(words: str) -> int:
    click.echo(f"stackrain: {' '.join(words.split())}", err=True)
    return UNUSABLE_INPUT


def _never_fail_on_letters(stream: TextIO) -> None:
    """Print a question mark for a letter that the terminal's code page lacks."""
    reconfigure: Callable[..., None] | None = getattr(stream, "reconfigure", None)
    if reconfigure:
        errors: Literal["replace"] = "replace"
        reconfigure(errors=errors)


def _reader_left() -> int:
    """The program that read our output has gone: end without a word, as other tools do."""
    _drop_output()
    return FOUND_FAULTS


def _drop_output() -> None:
    """Let what could not be printed go, or Python complains about it once more at its end."""
    import os

    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _end_tidily() -> None:
    """Treat a request to end (a closed terminal, a shutdown) as Ctrl-C: nothing half done stays. Once is
    enough: who asks again while it ends is not heard."""
    import signal

    asked = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    ours = [one for one in asked if signal.getsignal(one) is signal.SIG_DFL]

    def stop(number: int, frame: object) -> None:
        for one in ours:
            signal.signal(one, signal.SIG_IGN)
        raise KeyboardInterrupt

    for one in ours:
        signal.signal(one, stop)
