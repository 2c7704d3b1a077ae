"""Pages written to files, whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from meshes.errors import SceneError
from scenes.compare import Comparison
from scenes.compare_stage import leak_numbers, staged, with_the_same_drops
from scenes.compare_words import labels
from scenes.page.page import LARGEST, Shown, page_data, page_text
from scenes.run import Result, stage_of
from scenes.stage import Stage
from scenes.stage_fields import fields_of
from scenes.whole_file import whole_file

HTML = (".html", ".htm")


def result_text(result: Result, words: Mapping[str, str], *, fields: bool = False) -> str:
    """The page of one result; fields: with the amounts on its surfaces, which take seconds to find."""
    stage = stage_of(result, water=False)
    if fields:
        stage = replace(stage, fields=fields_of(result))
    shown = Shown(stage, result, result.to_dict())
    return page_text(page_data("one", [shown]), title=result.scene.title, words=words)


def write_page(
    result: Result, file: Path, words: Mapping[str, str], *, force: bool, fields: bool = False
) -> int:
    """Write the page of one result; its size [bytes]; fields: as `result_text`. Raises SceneError when
    the disk says no."""
    return _written(result_text(result, words, fields=fields), file, force=force)


def write_pair(both: Comparison, file: Path, words: Mapping[str, str], *, force: bool) -> int:
    """Write the page of two results side by side; its size [bytes]. Raises SceneError when the disk says
    no."""
    return _written(pair_text(both, words), file, force=force)


def pair_text(both: Comparison, words: Mapping[str, str]) -> str:
    """The page of two results under one camera, with the same drops, letters and numbers."""
    results = with_the_same_drops(both)
    first, second = staged(both, results)
    heads = labels(both.found)
    shown = [
        _numbered(first, results[0], leak_numbers(both, "first"), heads[0]),
        _numbered(second, results[1], leak_numbers(both, "second"), heads[1]),
    ]
    return page_text(page_data("pair", shown), title=both.first.scene.title, words=words)


def _numbered(stage: Stage, result: Result, numbers: Mapping[int, int], heading: str) -> Shown:
    """One side, with its leaks' numbers as both views have them."""
    found = result.to_dict()
    leaks = [leak | {"id": numbers[leak["id"]]} for leak in found["leaks"]]
    told = np.array([numbers.get(one, 0) for one in range(len(leaks) + 1)], np.int32)
    renumbered = replace(result, leak_of=told[result.leak_of])
    return Shown(stage, renumbered, found | {"leaks": leaks}, heading)


def too_large(text: str) -> str:
    """Why a page can't be given away, in a line; "" where it can."""
    size = len(text.encode())
    if size < LARGEST:
        return ""
    return f"it would take {size / 1e6:.1f} MB, and a page takes under {LARGEST / 1e6:g} MB"


def _written(text: str, file: Path, *, force: bool) -> int:
    data = text.encode()
    if lack := too_large(text):
        raise SceneError(f"{file}: {lack}; --fields and parts from files take most")
    with whole_file(file, force=force, endings=HTML) as half:
        half.write_bytes(data)
    return len(data)
