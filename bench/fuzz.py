"""Cases drawn at random for as long as there is time: scene files, details, faults, mesh files.

    python bench/fuzz.py [--minutes 15] [--kind "scene text" ...] [--first 0] [--memory-gb 8]

Each case must end in a result that adds up (every drop has one end, flows add up, nothing is NaN, what is
written reads back the same, a mirrored or turned detail does the same) or in one clear line, within a
time and a memory bound. Cases have numbers: what is found can be drawn again with --first and --kind.
tests/sure/test_fuzzed.py tries the first ones of each kind.
"""

from __future__ import annotations

import argparse
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.sure.fuzzed import KINDS, case

LONGEST = 60
"""A case may take so long [s]; the first ones of a process compile."""


def main() -> None:
    """Try case after case, the kinds by turns, and print what was found and a table."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--minutes", type=float, default=15.0)
    asked.add_argument("--kind", action="append", choices=sorted(KINDS))
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--memory-gb", type=float, default=8.0)
    given = asked.parse_args()
    most = int(given.memory_gb * 2**30)
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    signal.signal(signal.SIGALRM, _too_long)
    ends: dict[str, Counter[str]] = {kind: Counter() for kind in given.kind or KINDS}
    spent: Counter[str] = Counter()
    longest: Counter[str] = Counter()
    until, number = time.monotonic() + 60 * given.minutes, given.first
    while time.monotonic() < until:
        for kind in ends:
            began = time.monotonic()
            ends[kind][_one(kind, number)] += 1
            took = time.monotonic() - began
            spent[kind] += took
            longest[kind] = max(longest[kind], took)
        number += 1
    print("\nkind          cases   result  refused  wrong  longest [s]  mean [s]")
    for kind, counted in ends.items():
        count = sum(counted.values())
        cells = (counted["result"], counted["refused"], counted["wrong"])
        row = f"{kind:<12}{count:7d}  {cells[0]:7d}{cells[1]:9d}{cells[2]:7d}"
        print(f"{row}{longest[kind]:13.2f}{spent[kind] / max(count, 1):10.3f}")


def _one(kind: str, number: int) -> str:
    """How one case ended; what is wrong is printed."""
    with tempfile.TemporaryDirectory() as home:
        signal.alarm(LONGEST)
        try:
            return case(kind, number, Path(home))
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            words = " ".join(str(error).split())[:300]
            where = traceback.extract_tb(error.__traceback__)[-1]
            print(f"{kind} {number}: {type(error).__name__}: {words}", flush=True)
            print(f"    {Path(where.filename).name}:{where.lineno} {where.name}", flush=True)
            return "wrong"
        finally:
            signal.alarm(0)


def _too_long(number: int, frame: object) -> None:
    raise TimeoutError(f"took longer than {LONGEST} s")


if __name__ == "__main__":
    main()
