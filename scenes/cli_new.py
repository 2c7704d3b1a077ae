"""The command that writes a scene file: from another scene, or from what is measured on the roof."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from scenes.cli_options import UNITS

if TYPE_CHECKING:
    from scenes.measuring.interview import Interview
    from scenes.units import UnitsName

ENDINGS = (".toml",)
MOST_WRONG = 20
"""Answers complained of in a row, after which whoever types them is no person."""
LONGEST_LINE = 1000
INTRODUCTION = """\
Measure in this order. Enter takes the usual value in brackets and marks it as not measured;
? tells how and where to measure; back goes one question back, back C to the measure with that
letter; Ctrl-C leaves, nothing written.
"""


@click.command()
@click.argument("name")
@click.option(
    "--from", "source", default="cottage", show_default=True, metavar="SCENE",
    help="Start from this.",
)  # fmt: skip
@click.option("--ask", is_flag=True, help="Ask for the measurements, in the order on the roof.")
@UNITS
@click.option("--force", is_flag=True, help="Replace a file that is there.")
@click.pass_context
def new(
    context: click.Context, name: str, source: str, ask: bool, units: UnitsName, force: bool
) -> None:
    """Write a scene file to start from.

    NAME may be a path; .toml is added where it is missing. Every key is in the file, with a remark.
    With --ask it asks for what is measured on the roof (35 or 7 in 12; 590, 59 cm or 23 1/4 in), checks
    each measure against the others, and marks what was not measured. `stackrain measure-sheet` prints
    the same questions on paper.

    \b
    Example:
        stackrain new my-roof --from terrace
        stackrain new my-roof --ask
    """
    from scenes.scene import load
    from scenes.template import full_text
    from scenes.whole_file import check_file, whole_file

    if not name.strip() or name.endswith(("/", "\\", ".")):
        raise click.UsageError(f"{name or 'NAME'}: must be the name of a file")
    path = Path(name if name.lower().endswith(".toml") else f"{name}.toml")
    given = {
        option
        for option in ("source", "units")
        if context.get_parameter_source(option) != click.core.ParameterSource.DEFAULT
    }
    if ask and "source" in given:
        raise click.UsageError("--ask starts from the roof, so there is no --from beside it")
    if not ask and "units" in given:
        raise click.UsageError("--units is for --ask: a scene file is in millimetres")
    check_file(path, force=force, endings=ENDINGS)
    text = _asked_text(units, path.stem) if ask else full_text(load(source), path.parent)
    with whole_file(path, force=force, endings=ENDINGS) as half:
        half.write_text(text, encoding="utf-8", newline="\n")
    results = _quoted(Path("results") / path.stem)
    click.echo(f"Wrote {path}. Next: stackrain run {_quoted(path)} -o {results}")


def _asked_text(units: UnitsName, title: str) -> str:
    """Ask: the scene file's text. Raises SceneError, or a click error where the answers end too soon."""
    from scenes.measuring.interview import Interview
    from scenes.measuring.text import measured_text
    from scenes.units import units_of

    click.echo(INTRODUCTION, err=True)
    return measured_text(_asked(Interview(units=units_of(units))), title)


def _asked(interview: Interview) -> Interview:
    """The interview when all is answered and the stack can be built."""
    group = ""
    while True:
        while (question := interview.question) is not None:
            if question.group != group:
                group = question.group
                click.echo(f"\n{group}", err=True)
            click.echo(f"{interview.prompt}: ", nl=False, err=True)
            line = _line(question.words)
            if not sys.stdin.isatty():
                click.echo(line.strip(), err=True)
            interview = interview.told(line)
            if interview.said:
                click.echo(f"    {interview.said}", err=True)
            if interview.wrong >= MOST_WRONG:
                raise click.ClickException(f"{MOST_WRONG} answers in a row that can't be; stopped")
        from meshes.build import build

        interview = interview.tried(build)
        if interview.question is None:
            return interview
        click.echo(f"\n    {interview.said}", err=True)


def _line(asked: str) -> str:
    """One line of standard input. Raises a click error at its end, or for what is no text."""
    try:
        line = sys.stdin.readline(LONGEST_LINE + 1)
    except UnicodeDecodeError as error:
        raise click.ClickException(f"{asked}: must be answered in UTF-8 text") from error
    if not line:
        click.echo(err=True)
        raise click.ClickException(f"the answers end before: {asked}; nothing was written")
    if len(line) > LONGEST_LINE:
        raise click.ClickException(
            f"{asked}: must be answered in a line, not {LONGEST_LINE} letters"
        )
    return line


def _quoted(path: Path) -> str:
    """A path as it must be typed: in quotes when it holds a space."""
    text = str(path)
    return f'"{text}"' if any(letter.isspace() for letter in text) else text
