"""Options that several commands take."""

from __future__ import annotations

import click

STOPPED = 130
"""Exit code of a command that was stopped."""
DEFAULT_DROPS = 20_000
MOST_DROPS = 20_000_000
DROPS = click.option(
    "--drops",
    type=click.IntRange(1, MOST_DROPS),
    default=DEFAULT_DROPS,
    show_default=True,
    help="More drops, smaller errors.",
)
SEED = click.option(
    "--seed",
    type=click.IntRange(0, 2**63 - 1),
    default=0,
    show_default=True,
    help="Same seed, same drops.",
)
WEATHER = click.option(
    "--weather",
    "case",
    metavar="NAME",
    help="Rain and gust of a weather case: calm, cloudburst, driving or spray rack.",
)
FROM = click.option(
    "--from",
    "from_deg",
    type=click.FloatRange(-360, 360),
    metavar="DEGREES",
    help="Where wind and rain come from: 0 the eaves, 90 the right, 180 the ridge.",
)
THREADS = click.option(
    "--threads", type=click.IntRange(1, 1024), help="Cores to use.  [default: all]"
)
FORCE = click.option("--force", is_flag=True, help="Replace earlier results in FOLDER.")
QUIET = click.option("--quiet", is_flag=True, help="No remarks on standard error.")
UNITS = click.option(
    "--units",
    type=click.Choice(("metric", "imperial")),
    default="metric",
    show_default=True,
    help="For people: mm and degrees, or inches and rise in 12. Files keep mm.",
)
