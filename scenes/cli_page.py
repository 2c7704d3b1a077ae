"""The command that writes one page to turn, peel and play, in any browser."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scenes.cli_faults import FAULT, with_those
from scenes.cli_options import DROPS, FORCE, FROM, QUIET, SEED, THREADS, UNITS, WEATHER

if TYPE_CHECKING:
    from scenes.units import UnitsName


@click.command()
@click.argument("scene", required=False)
@FAULT
@click.option(
    "-o", "--output", "file", metavar="FILE", type=click.Path(path_type=Path),
    help="The page to write, ending in .html.",
)  # fmt: skip
@WEATHER
@FROM
@click.option("--beside", is_flag=True, help="The scene without its faults beside it.")
@click.option(
    "--fields",
    is_flag=True,
    help="Flow, film, head, wetness and laps in colours on the surfaces too.",
)
@click.option("--cures", is_flag=True, help="Look for the least changes that stop each leak.")
@click.option(
    "--words", "words_file", metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="The page's own words in another language, from a file that --words-to began.",
)  # fmt: skip
@click.option(
    "--words-to", metavar="FILE", type=click.Path(path_type=Path),
    help="Write the page's own words to translate, and no page.",
)  # fmt: skip
@DROPS
@SEED
@THREADS
@FORCE
@UNITS
@QUIET
def page(
    scene: str | None,
    faults: tuple[str, ...],
    file: Path | None,
    case: str | None,
    from_deg: float | None,
    beside: bool,
    fields: bool,
    cures: bool,
    words_file: Path | None,
    words_to: Path | None,
    drops: int,
    seed: int,
    threads: int | None,
    force: bool,
    units: UnitsName,
    quiet: bool,
) -> None:
    """Write a page to turn, peel and play.

    One file that any browser opens from disk, with no network: on a phone, a tablet, a computer. It
    shows the pieces, the water on its way, every leak with its reason, and what to change.

    \b
    Example:
        stackrain page cottage --fault "side over the gutter" --beside -o lesson-page.html
    """
    from scenes.page.wording import words_of, write_words
    from scenes.progress import Remarks
    from scenes.scene import in_weather, load
    from scenes.whole_file import check_file

    if words_to is not None:
        check_file(words_to, force=force, endings=(".json",))
        write_words(words_to, force=force)
        click.echo(f"Wrote {words_to}: put your words in, then: stackrain page --words {words_to}")
        return
    if scene is None or file is None:
        raise click.UsageError(f"page needs {'a SCENE' if scene is None else '-o FILE'}")
    if beside and not faults:
        raise click.UsageError("--beside needs --fault: it shows the scene without its faults too")
    if beside and (cures or fields):
        option = "--cures" if cures else "--fields"
        raise click.UsageError(f"{option} is for one scene, not for two with --beside")
    right = in_weather(load(scene), case_name=case, from_deg=from_deg)
    situation = with_those(right, faults)
    if cures:
        from scenes.cures.asked import check_curable

        check_curable(situation)
    words = words_of(words_file)
    check_file(file, force=force, endings=(".html", ".htm"))
    from scenes.page.page import script_lacks

    if lack := script_lacks():
        raise click.ClickException(lack)
    from scenes.page.write import write_page, write_pair
    from scenes.units import units_of
    from scenes.units_text import spoken_in

    remarks = Remarks(quiet=quiet)
    if beside:
        from scenes.compare import compared

        both = compared(right, situation, drops=drops, seed=seed, threads=threads, remarks=remarks)
        with spoken_in(units_of(units)):
            size = write_pair(both, file, words, force=force)
    else:
        from scenes.run import run

        result = run(
            situation, drops=drops, seed=seed, cures=cures, threads=threads, remarks=remarks
        )
        with remarks.step("Writing the page"), spoken_in(units_of(units)):
            size = write_page(result, file, words, force=force, fields=fields)
    click.echo(f"Wrote {file} ({size / 1e6:.2f} MB): open it in a browser")
