"""The catalogue's table in the README, made from the code so that it can't go stale.

`python -m scenes.faults.readme README.md` makes it anew.
"""

from __future__ import annotations

import sys
from pathlib import Path

from scenes.faults.catalogue import CATALOGUE, catalogue_table

BEGIN = "<!-- faults: made by python -m scenes.faults.readme README.md -->"
END = "<!-- end of faults -->"
FOUND = '"found" is how often a roofer finds it on old stacks: common practice, no source'


def with_catalogue(text: str) -> str:
    """A text with the table of faults between its two markers. Raises ValueError without them."""
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise ValueError(f"there must be a line {BEGIN} and, after it, a line {END}")
    count = f"{len(CATALOGUE)} faults ({FOUND}):"
    return f"{before}{BEGIN}\n{count}\n\n{catalogue_table()}\n{END}{after}"


if __name__ == "__main__":
    path = Path(sys.argv[1])
    path.write_text(with_catalogue(path.read_text(encoding="utf-8")), encoding="utf-8")
