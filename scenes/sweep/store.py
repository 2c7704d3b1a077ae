"""The finished cases of a sweep on disk: a case counts once its line is there, whatever happens then."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import IO, Any, Final

from meshes.errors import SceneError
from scenes.folder import PREFIX, check_folder
from scenes.sweep.asked import Sweep
from scenes.sweep.case import Row
from scenes.sweep.cases import Values

ASKED, JOURNAL = "sweep.json", "cases.jsonl"
RESULTS = ("sweep.csv", "sweep.parquet", "map.png")
BESIDE = f"{PREFIX}{{}}"
"""A file on its way to be that name's."""
CALLED: Final = {
    "scene_text": "scene", "parts_sha256": "a part's file", "set": "the weather", "sample": "--sample",
    "faults": "--fault", "vary": "--vary", "measure": "--measure", "seed": "--seed", "drops": "--drops",
    "version": "the version of stackrain",
}  # fmt: skip
"""What a message calls the keys of sweep.json."""
BEGIN_ANEW: Final = "--force begins anew"


class Store:
    """An open folder of a sweep. rows: of the finished cases, by number."""

    def __init__(self, folder: Path, journal: IO[bytes], rows: dict[int, Row]) -> None:
        self._folder = folder
        self._journal = journal
        self.rows = rows

    def add(self, row: Row) -> None:
        """Keep a finished case. Raises SceneError when the disk says no; what was kept stays."""
        line = (json.dumps(row, allow_nan=False, separators=(",", ":")) + "\n").encode()
        left = line
        try:
            while left:
                left = left[self._journal.write(left) :]
            os.fsync(self._journal.fileno())
        except OSError as error:
            raise _unwritable(self._folder, error) from error
        self.rows[row["case"]] = json.loads(line)


@contextmanager
def opened(folder: Path, sweep: Sweep, cases: Sequence[Values], *, force: bool) -> Iterator[Store]:
    """The folder of a sweep, begun or gone on with; nobody else may write to it meanwhile.

    force: begin anew, whatever the folder holds of another sweep. Raises SceneError with one line for a
    folder that can't be written to, holds another sweep or other files, is damaged or in use.
    """
    with ExitStack() as kept:
        try:
            store = _store(folder, sweep, cases, force=force, kept=kept)
        except OSError as error:
            raise _unwritable(folder, error) from error
        yield store


def _store(
    folder: Path, sweep: Sweep, cases: Sequence[Values], *, force: bool, kept: ExitStack
) -> Store:
    check_folder(folder, force=force or _is_a_sweep(folder))
    folder.mkdir(parents=True, exist_ok=True)
    # Unbuffered: after a full disk no half line waits to be written once more at the end.
    journal = kept.enter_context((folder / JOURNAL).open("ab", buffering=0))
    _hold(folder, journal)
    if (folder / ASKED).is_file() and not force:
        _same(folder, sweep)
        return Store(folder, journal, _read(folder, cases))
    journal.truncate(0)
    for name in RESULTS:
        (folder / name).unlink(missing_ok=True)
    _write_whole(folder / ASKED, sweep.to_dict())
    return Store(folder, journal, {})


def _is_a_sweep(folder: Path) -> bool:
    """Whether a sweep is at home there, one that was killed at its very beginning too."""
    if not folder.is_dir():
        return False
    names = {path.name for path in folder.iterdir()}
    return ASKED in names or names <= {JOURNAL, BESIDE.format(ASKED)}


def _hold(folder: Path, journal: IO[bytes]) -> None:
    """Keep a second sweep off; a process that ends, however, lets go. Windows has no such lock."""
    try:
        import fcntl
    except ImportError:
        return
    try:
        fcntl.flock(journal, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as error:
        raise SceneError(f"{folder}: another sweep is at work there") from error


def _same(folder: Path, sweep: Sweep) -> None:
    try:
        held = json.loads((folder / ASKED).read_text(encoding="utf-8"))
    except ValueError as error:
        raise SceneError(f"{folder / ASKED}: is damaged; {BEGIN_ANEW}") from error
    asked = json.loads(json.dumps(sweep.to_dict()))
    differ = [key for key in asked if not isinstance(held, dict) or held.get(key) != asked[key]]
    if differ:
        what = CALLED.get(differ[0], differ[0])
        raise SceneError(f"{folder}: holds another sweep ({what} differs); {BEGIN_ANEW}")


def _read(folder: Path, cases: Sequence[Values]) -> dict[int, Row]:
    """The finished cases, after a line that was cut off at the end is taken away."""
    path = folder / JOURNAL
    content = path.read_bytes()
    whole = content[: content.rfind(b"\n") + 1]
    if whole != content:
        os.truncate(path, len(whole))
    rows: dict[int, Row] = {}
    for number, line in enumerate(whole.splitlines(), start=1):
        row = _row(line)
        at = row.get("case") if row else None
        if row is None or not isinstance(at, int) or not 1 <= at <= len(cases):
            raise SceneError(f"{path}, line {number}: is damaged; {BEGIN_ANEW}")
        if tuple(row.get("values", ())) != cases[at - 1]:
            raise SceneError(f"{path}, line {number}: is of another sweep; {BEGIN_ANEW}")
        rows[at] = row
    return rows


def _row(line: bytes) -> Row | None:
    try:
        row = json.loads(line)
    except ValueError:
        return None
    return row if isinstance(row, dict) and {"status", "figures"} <= set(row) else None


def _write_whole(path: Path, content: dict[str, Any]) -> None:
    """Write a file so that it is there whole or not at all."""
    beside = path.with_name(BESIDE.format(path.name))
    try:
        beside.write_text(json.dumps(content, indent=2) + "\n", encoding="utf-8")
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def _unwritable(folder: Path, error: OSError) -> SceneError:
    return SceneError(f"{folder}: can't be written to ({error.strerror or error})")
