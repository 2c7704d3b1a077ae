"""`stackrain page` and `stackrain stand` at the command line."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from scenes.page import page as page_module
from scenes.page.page import script_lacks

Stackrain = Callable[..., Result]
BUILT = pytest.mark.skipif(bool(script_lacks()), reason=script_lacks() or "built")


@BUILT
def test_a_page_is_written_whole_and_never_over_another(
    stackrain: Stackrain, tmp_path: Path
) -> None:
    asked = ("page", "terrace", "-o", "a page.html", "--drops", 200)
    told = stackrain(*asked)
    assert (told.exit_code, told.stdout.startswith("Wrote a page.html (0.")) == (0, True)
    before = (tmp_path / "a page.html").read_bytes()
    again = stackrain(*asked)
    assert again.exit_code == 2
    assert "--force" in again.stderr
    assert (tmp_path / "a page.html").read_bytes() == before
    assert [file.name for file in tmp_path.iterdir()] == ["a page.html"]


@pytest.mark.parametrize(
    ("arguments", "rule"),
    [
        (("-o", "p.html"), "needs a SCENE"),
        (("terrace",), "needs -o FILE"),
        (("terrace", "-o", "p.txt"), "must end in .html"),
        (("terrace", "-o", "no/p.html"), "no folder no"),
        (("terrace", "-o", "p.html", "--beside"), "--beside needs --fault"),
        (("terrace", "-o", "p.html", "--beside", "--cures", "--fault", "no turn-in@left"),
         "--cures is for one scene"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_one_line(
    stackrain: Stackrain, arguments: tuple[str, ...], rule: str, tmp_path: Path
) -> None:
    told = stackrain("page", *arguments)
    assert told.exit_code == 2
    assert rule in told.stderr
    assert len(told.stderr.splitlines()) == 1
    assert not list(tmp_path.iterdir())


def test_without_the_script_nothing_is_begun(
    stackrain: Stackrain, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(page_module, "SCRIPT", tmp_path / "page.js")
    for asked in (("page", "terrace", "-o", "p.html"), ("stand", "terrace")):
        told = stackrain(*asked)
        assert told.exit_code == 2
        assert "script was not built" in told.stderr
    assert not list(tmp_path.iterdir())
