"""Compiling: once, kept on disk, and without a place to keep it."""

from __future__ import annotations

from pathlib import Path

import numba
import pytest

from sim import compiled, trace


def test_a_place_without_cache_still_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Numba raises RuntimeError where it finds no folder to keep compiled code in; we go on without."""
    real = numba.njit

    def no_cache(*args: object, **options: object) -> object:
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return real(*args, **options)

    monkeypatch.setattr(compiled.numba, "njit", no_cache)
    monkeypatch.setattr(compiled, "_KERNELS", [])

    def double(x: float) -> float:
        return 2 * x

    fast = compiled.compiled(double)
    assert not compiled.is_compiled()
    assert fast(3.0) == 6.0
    assert compiled.is_compiled()


def test_it_is_known_whether_everything_is_compiled() -> None:
    """After a first trace nothing is left to compile."""
    assert isinstance(trace.is_compiled(), bool)


def test_all_kernel_files_count_for_what_is_kept() -> None:
    """A kept kernel is used again only if no file whose text it holds has changed."""
    folder = Path(compiled.__file__).parent
    marks = ("@compiled", "@inlined", "@intrinsic")
    users = {
        file.stem
        for file in folder.glob("*.py")
        if any(f"\n{mark}\n" in file.read_text(encoding="utf-8") for mark in marks)
    }
    assert {"walk", "tree", "fans"} <= users <= set(compiled.SOURCES)
    assert all((folder / f"{name}.py").exists() for name in compiled.SOURCES)
