"""`stackrain run --cut-list`: the report, as HTML and as PDF, holds the cut list and the order."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import html5lib
import pypdf
from click.testing import Result

from scenes.cutting.cut_list import cut_list
from scenes.cutting.dressing import dressing_order
from scenes.cutting.say_pattern import size_words
from scenes.faults.apply import with_faults
from scenes.scene import load

Run = Callable[..., Result]
FAULT = "cover too narrow@left=60"


def said_in(folder: Path) -> list[str]:
    """The words of report.html and of report.pdf."""
    text = (folder / "report.html").read_text(encoding="utf-8")
    page = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    read = pypdf.PdfReader(folder / "report.pdf")
    told = ["".join(page.itertext()), " ".join(one.extract_text() for one in read.pages)]
    return [" ".join(one.split()) for one in told]


def test_the_report_holds_the_cut_list_and_the_order(stackrain: Run, tmp_path: Path) -> None:
    """The issue: every blank with its size, every step of the dressing with its laps, in both files, with a
    fault of one side in the blank of that side; not a word of it where it was not asked for."""
    args = ("run", "cottage", "--fault", FAULT, "--drops", 300, "--no-picture", "--quiet")
    assert stackrain(*args, "-o", "out", "--cut-list").exit_code == 0
    scene = with_faults(load("cottage"), [FAULT])
    found = cut_list(scene)
    for text in said_in(tmp_path / "out"):
        assert "What to cut" in text
        for one in found.patterns:
            assert one.name in text
            assert size_words(one) in text
        for step in dressing_order(scene, found.detail).steps:
            assert step.name[1:] in text
            assert all(over.words in text for over in step.over)
    widths = {one.name: one.size[0] for one in found.patterns}
    assert widths["left side flashing"] < widths["right side flashing"] - 0.05
    assert stackrain(*args, "-o", "plain").exit_code == 0
    assert all("What to cut" not in text for text in said_in(tmp_path / "plain"))
