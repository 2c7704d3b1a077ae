"""The folder of a sweep: a finished case stays whatever happens, and nobody else's are taken for it."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from meshes.errors import SceneError
from scenes.sweep.store import JOURNAL, RESULTS, Store, opened
from tests.scenes.sweep.small import made_up, small


def begun(folder: Path, count: int = 3) -> None:
    """A sweep of which so many cases are done."""
    sweep, cases = small()
    with opened(folder, sweep, cases, force=False) as store:
        for number in range(count, 0, -1):
            store.add(made_up(number, cases[number - 1], area_m2=1 / number))


def held(folder: Path) -> dict[int, float]:
    sweep, cases = small()
    with opened(folder, sweep, cases, force=False) as store:
        return {number: row["figures"]["area_m2"] for number, row in store.rows.items()}


def test_what_is_done_is_there_again(tmp_path: Path) -> None:
    """Contract: the rows as they were, to the last bit."""
    begun(tmp_path / "a" / "b")
    assert held(tmp_path / "a" / "b") == {1: 1.0, 2: 0.5, 3: 1 / 3}


@pytest.mark.parametrize("cut", range(0, 120, 17))
def test_a_line_that_was_cut_off_is_taken_away(tmp_path: Path, cut: int) -> None:
    """Derived: wherever a kill or a full disk ends the file, the lines before it stay and one can go on."""
    begun(tmp_path)
    path = tmp_path / JOURNAL
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:2]) + lines[2][: min(cut, len(lines[2]) - 1)])
    assert set(held(tmp_path)) == {2, 3}
    assert path.read_bytes() == b"".join(lines[:2])
    sweep, cases = small()
    with opened(tmp_path, sweep, cases, force=False) as store:
        store.add(made_up(1, cases[0], area_m2=9.0))
    assert held(tmp_path)[1] == 9.0


@pytest.mark.parametrize(
    ("asked", "more", "what"),
    [
        (("pitch=20:45:5", "sides.cover=100:140:40"), {}, "--vary"),
        ((), {"seed": 1}, "--seed"),
        ((), {"settings": {("weather", "case"): "driving"}}, "the weather"),
        ((), {"faults": ("cover too narrow",)}, "--fault"),
        ((), {"measure": "leak"}, "--measure"),
    ],
)
def test_another_sweep_is_refused(
    tmp_path: Path, asked: tuple[str, ...], more: dict[str, object], what: str
) -> None:
    """Contract: in one line that says what differs; the cases that are there stay."""
    begun(tmp_path)
    sweep, cases = small(*asked, **more)  # type: ignore[arg-type]
    with (
        pytest.raises(SceneError, match=f"another sweep \\({what} differs\\); --force"),
        opened(tmp_path, sweep, cases, force=False),
    ):
        pass
    assert len(held(tmp_path)) == 3


def test_force_begins_anew(tmp_path: Path) -> None:
    """Contract: no row, and no table, of the old sweep is left; other files are."""
    begun(tmp_path)
    for name in (*RESULTS, "diary.txt"):
        (tmp_path / name).write_text("old")
    sweep, cases = small(seed=1)
    with opened(tmp_path, sweep, cases, force=True) as store:
        assert store.rows == {}
    assert {path.name for path in tmp_path.iterdir()} == {JOURNAL, "sweep.json", "diary.txt"}


@pytest.mark.parametrize(
    "line", [b"nonsense\n", b"[]\n", b'{"case": 99, "values": [], "status": "", "figures": {}}\n']
)
def test_a_damaged_journal_is_refused(tmp_path: Path, line: bytes) -> None:
    """Derived: a whole line that no sweep of ours wrote."""
    begun(tmp_path)
    with (tmp_path / JOURNAL).open("ab") as stream:
        stream.write(line)
    with pytest.raises(SceneError, match=r"line 4: is damaged; --force"):
        held(tmp_path)


def test_cases_of_other_values_are_refused(tmp_path: Path) -> None:
    """Derived: a case is known by its values too, should another library draw another sample."""
    begun(tmp_path)
    row = json.loads((tmp_path / JOURNAL).read_bytes().splitlines()[0])
    row["values"][0] += 1
    (tmp_path / JOURNAL).write_text(json.dumps(row) + "\n")
    with pytest.raises(SceneError, match="is of another sweep"):
        held(tmp_path)


def test_a_folder_with_other_files_is_refused(tmp_path: Path) -> None:
    """As every command does; a sweep killed before its first case is none."""
    (tmp_path / "diary.txt").write_text("mine")
    with pytest.raises(SceneError, match="holds files already"):
        begun(tmp_path)
    (tmp_path / "new").mkdir()
    (tmp_path / "new" / JOURNAL).touch()
    begun(tmp_path / "new")


@pytest.mark.skipif(sys.platform == "win32", reason="has no such lock")
def test_two_sweeps_in_one_folder(tmp_path: Path) -> None:
    """Contract: the second is refused, the first goes on."""
    sweep, cases = small()
    with opened(tmp_path, sweep, cases, force=False) as store:
        with pytest.raises(SceneError, match="another sweep is at work there"):
            begun(tmp_path)
        store.add(made_up(1, cases[0], area_m2=1.0))
    assert held(tmp_path) == {1: 1.0}


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no disk that is always full")
def test_a_full_disk_is_one_line(tmp_path: Path) -> None:
    """Contract; /dev/full refuses every write as a full disk does. The case doesn't count."""
    _, cases = small()
    with Path("/dev/full").open("ab", buffering=0) as full:
        store = Store(tmp_path, full, {})
        with pytest.raises(SceneError, match=r"can't be written to \(No space left"):
            store.add(made_up(1, cases[0]))
    assert store.rows == {}
