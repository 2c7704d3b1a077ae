"""The results of a sweep in its folder: both tables and the map, all or none."""

from __future__ import annotations

from pathlib import Path

from scenes.folder import fresh_folder, write_files
from scenes.sweep.asked import Sweep
from scenes.sweep.map import draw_map
from scenes.sweep.shown import Shown
from scenes.sweep.store import RESULTS, Store
from scenes.sweep.table import csv_bytes, parquet_bytes


def write_sweep(
    folder: Path, sweep: Sweep, store: Store, shown: Shown, *, picture: bool
) -> tuple[str, ...]:
    """Write the tables of all cases and, if asked for, the map; their names. Raises SceneError when the
    disk says no: the finished cases are kept all the same."""
    tables = (csv_bytes(sweep, store.rows), parquet_bytes(sweep, store.rows))
    with fresh_folder(folder, force=True) as new:
        write_files(new, dict(zip(RESULTS, tables, strict=False)))
        if picture:
            draw_map(shown, new / RESULTS[2])
    return RESULTS if picture else RESULTS[:2]
