"""How long each scene of the library takes to build, beside the smallest of them in the same run.

    python bench/building.py [--repeats 5]

The best of several builds counts; the first, which fills caches, is left out. Ratios hold better than times.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from meshes.build import build
from scenes.scene import load, names


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--repeats", type=int, default=5)
    repeats = max(1, parser.parse_args().repeats)
    rows = [(name, *_best(name, repeats)) for name in names()]
    least = min(took for _, took, _ in rows)
    print(f"{'scene':<12}{'triangles':>10}{'seconds':>10}{'over the quickest':>20}")
    for name, took, triangles in rows:
        print(f"{name:<12}{triangles:>10,}{took:>10.3f}{took / least:>20.1f}")


def _best(name: str, repeats: int) -> tuple[float, int]:
    """The best time [s] to build a scene, and how many triangles it has."""
    detail = load(name).detail
    assert detail is not None
    assembly = build(detail)
    took = []
    for _ in range(repeats):
        start = time.perf_counter()
        build(detail)
        took.append(time.perf_counter() - start)
    return min(took), sum(len(part.faces) for part in assembly)


if __name__ == "__main__":
    main()
