"""How soon commands that need no picture answer, over `python -c "import numba, click"`.

    python bench/startup.py

The two take turns, so that a slow moment of the machine meets both; the best of seven counts.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from time import perf_counter

BARE = [sys.executable, "-c", "import numba, click"]
AT_WORK = ("cut cottage",)
"""Commands that do more than begin: their whole work is in the ratio."""
COMMANDS = ("--version", "--help", "scenes", "run --help", "faults", *AT_WORK)
PROGRAM = Path(sys.executable).with_name("stackrain")
TURNS = 7


def main() -> None:
    for command, ratio in ratios().items():
        print(f"stackrain {command:<16}{ratio:6.2f}")


def ratios() -> dict[str, float]:
    """Each command's time over the bare import's."""
    ours = {name: [str(PROGRAM), *name.split()] for name in COMMANDS}
    least = dict.fromkeys(("", *COMMANDS), float("inf"))
    for _ in range(TURNS):
        for name, words in {"": BARE, **ours}.items():
            begin = perf_counter()
            subprocess.run(words, check=True, capture_output=True)
            least[name] = min(least[name], perf_counter() - begin)
    return {name: least[name] / least[""] for name in COMMANDS}


if __name__ == "__main__":
    main()
