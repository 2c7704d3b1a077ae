"""Pages written to files, whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from scenes.compare import Comparison
from scenes.compare_stage import leak_numbers, staged, with_the_same_drops
from scenes.compare_words import labels
from scenes.page.page import Shown, page_data, page_text
from scenes.run import Result, stage_of
from scenes.stage_fields import fields_of
from scenes.still import whole_file

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
    shown = (
        Shown(first, results[0], _renumbered(results[0], leak_numbers(both, "first")), heads[0]),
        Shown(second, results[1], _renumbered(results[1], leak_numbers(both, "second")), heads[1]),
    )
    return page_text(page_data("pair", shown), title=both.first.scene.title, words=words)


def _renumbered(result: Result, numbers: Mapping[int, int]) -> dict[str, Any]:
    """What was found, with the leaks' numbers as both views have them."""
    found = result.to_dict()
    return found | {"leaks": [leak | {"id": numbers[leak["id"]]} for leak in found["leaks"]]}


def _written(text: str, file: Path, *, force: bool) -> int:
    data = text.encode()
    with whole_file(file, force=force, endings=HTML) as half:
        half.write_bytes(data)
    return len(data)
