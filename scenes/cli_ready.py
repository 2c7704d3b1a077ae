"""The command that says whether stackrain works on this machine."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from scenes.check_up import Has

NOT_READY = 1


@click.command()
@click.pass_context
def ready(context: click.Context) -> None:
    """Say whether stackrain works here: what is there, what is missing, and a known answer.

    Lists packages, extras and what can be drawn, then rains on a detail whose answer geometry gives
    (2 seconds; half a minute the first time). Exit 1 when a package is missing or too old, or an
    answer is not as expected. No display, no OpenGL and no extra are said, and no fault.

    \b
    Example:
        stackrain ready
    """
    from scenes.check_up import about, drawing, extras, kept_code, packages

    click.echo(about())
    needed = packages()
    well = _list("Packages", needed)
    _list("Extras", extras())
    if not well:
        # What is missing may be what the rest needs.
        click.echo("\nNot ready: see the packages above.")
        context.exit(NOT_READY)
    _list("Here", (*drawing(), kept_code()))
    if not _answers():
        click.echo(
            "\nNot ready: an answer is not as expected. Please report it with all of the above."
        )
        context.exit(NOT_READY)
    click.echo("\nReady.")


def _list(title: str, rows: Iterable[Has]) -> bool:
    """Print rows under a title; whether all are well."""
    click.echo(f"\n{title}")
    well = True
    for row in rows:
        click.echo(f"  {row.what:<16}{row.how}")
        well = well and row.well
    return well


def _answers() -> bool:
    """Print what the known detail answers; whether all is as expected."""
    from time import perf_counter

    from scenes.check_detail import known_answers
    from sim.trace import is_compiled

    if not is_compiled():
        click.echo("First run on this machine: compiling the tracer, once.", err=True)
    started = perf_counter()
    try:
        answers = known_answers()
    except Exception as error:  # whatever breaks on this machine is what was asked for
        words = " ".join(f"{type(error).__name__}: {error}".split())
        click.echo(f"\nA known detail can't be rained on: {words}")
        return False
    click.echo(f"\nA known detail, rained on ({perf_counter() - started:.1f} s)")
    for answer in answers:
        click.echo(f"  {answer.asked}: {answer.found}")
        click.echo(
            f"      expected {answer.expected}: {'as expected' if answer.right else 'NOT SO'}"
        )
    return all(answer.right for answer in answers)
