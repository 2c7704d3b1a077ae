"""The whole table of speed: every goal beside what was measured, all in one run.

    python bench/speed.py [--quick]

Needs embreex (`pip install '.[bench]'`) and some minutes, about half of them for ten million drops
and a roof of half a million triangles; --quick takes a tenth of the drops. `bench/fluid.py` is on its own.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench import bumpy, drops, others, startup, tracer, verdict

THREADS = 2


@dataclass(frozen=True)
class Row:
    """What was measured, in words; the goal it has, most and measured; nothing where it has none."""

    what: str
    figure: str
    most: float | None = None
    measured: float = 0.0

    def __str__(self) -> str:
        if self.most is None:
            return f"{self.what:<68}{self.figure:>14}"
        met = "met" if self.measured <= self.most else "NOT MET"
        return f"{self.what:<68}{self.figure:>14}   at most {self.most:g}: {met}"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--quick", action="store_true", help="a tenth of the drops")
    share = 0.1 if options.parse_args().quick else 1.0
    for part in (_start, _verdict, _hops, _roofs, _drops, _others):
        for row in part(share):
            print(row, flush=True)


def _start(_: float) -> list[Row]:
    """Before all else: what runs later warms the disk's cache for the commands alone."""
    return [
        Row(
            f"`stackrain {name}` over `python -c 'import numba, click'`", f"{ratio:.2f}", 1.2, ratio
        )
        for name, ratio in startup.ratios().items()
    ]


def _verdict(_: float) -> list[Row]:
    rows = []
    for scene, most in (("cottage", 150.0), ("terrace", None), ("stepped", None)):
        took = verdict.verdict(scene)[verdict.WHOLE] * 1e3
        rows.append(
            Row(
                f"changed measure to new verdict, `{scene}`, 5,000 drops",
                f"{took:.0f} ms",
                most,
                took,
            )
        )
    return rows


def _hops(share: float) -> list[Row]:
    got = tracer.measure("cottage", int(1e6 * share), THREADS, int(2e6 * share))
    ratio = got.hop / got.ray
    return [
        Row("one hop, `cottage`", f"{got.hop:.1f} ns"),
        Row("ray limit: one raw Embree query, robust, on the same rays", f"{got.ray:.1f} ns"),
        Row("hop over query", f"{ratio:.2f}", 0.2, ratio),
    ]


def _roofs(share: float) -> list[Row]:
    count = int(2e5 * share)
    few, many = (
        bumpy.walked(bumpy.roof(n, block=True), count, THREADS) for n in (bumpy.FEW, bumpy.MANY)
    )
    bare = bumpy.walked(bumpy.roof(bumpy.FEW, block=False), count, THREADS)
    ratio = many.hop / few.hop
    return [
        Row("walk limit: one hop on a bumpy slope with nothing to meet", f"{bare.hop:.1f} ns"),
        Row(
            f"one hop on a roof of {few.triangles:,} triangles, a block in it", f"{few.hop:.1f} ns"
        ),
        Row(f"hop on {many.triangles:,} triangles over that", f"{ratio:.1f}", 6.0, ratio),
        Row(f"charts of {many.triangles:,} triangles", f"{many.charts:.1f} s"),
    ]


def _drops(share: float) -> list[Row]:
    rows = drops.costs("cottage", int(1e7 * share), THREADS)
    most = max(row.bytes for row in rows)
    found = [Row(f"{row.drops:,} drops: to follow one", f"{row.trace:.2f} us") for row in rows]
    found.append(Row("dearest drop over the cheapest", f"{drops.spread(rows):.2f}"))
    found.append(Row("memory a drop in flight, at most", f"{most:.0f} bytes", 300.0, most))
    return found


def _others(_: float) -> list[Row]:
    first, *rest = others.ways(400, THREADS)
    found = [Row(f"a drop on a bumpy slope, {first.name}", f"{first.per_drop:.1f} us")]
    for way in rest:
        times = f"{way.per_drop / first.per_drop:,.0f} times"
        found.append(Row(f"the same, {way.name} (exits {way.apart * 1e3:.0f} mm apart)", times))
    return found


if __name__ == "__main__":
    main()
