"""The first cases of each kind that bench/fuzz.py draws for hours."""

from __future__ import annotations

from pathlib import Path

import pytest

from meshes.errors import SceneError
from tests.sure import fuzzed
from tests.sure.fuzzed import KINDS, case

COUNTS = {"scene text": 15, "scene run": 8, "changed": 8, "mesh bytes": 80, "soup": 8}


@pytest.mark.parametrize("kind", KINDS)
def test_a_result_that_adds_up_or_one_clear_line(tmp_path: Path, kind: str) -> None:
    """The issue: any text as a scene, any bytes as a mesh, random details and faults; no case drawn is
    wrong, and some of each kind get through and some are refused."""
    ends = [case(kind, number, tmp_path) for number in range(COUNTS[kind])]
    assert set(ends) == {"result", "refused"}


@pytest.mark.parametrize("line", ["two\nlines", "", " ", "a" * 2000, "esc\x1b[2J"])
def test_lines_that_are_not_clear(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, line: str
) -> None:
    """Derived: the check itself notices."""

    def refuse(draw: object, home: Path) -> None:
        raise SceneError(line)

    monkeypatch.setitem(fuzzed.KINDS, "soup", refuse)
    with pytest.raises(fuzzed.LineError):
        case("soup", 0, tmp_path)
