"""The script's sources: their words, their packages, and what they never do."""

from __future__ import annotations

import json
import re
from itertools import chain
from pathlib import Path

from scenes.page.page import HERE
from scenes.page.wording import english
from scenes.stage_camera import VIEWS

WEB = HERE / "web"
SOURCES = sorted((WEB / "src").glob("*.js"))
MARKUP = ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function")


def texts() -> dict[Path, str]:
    return {path: path.read_text(encoding="utf-8") for path in SOURCES}


def test_every_word_is_used_and_every_word_used_is_there() -> None:
    """Names between quotes; those that end in what data or a choice say, by how they begin."""
    whole = "\n".join((*texts().values(), (WEB / "page.html").read_text(encoding="utf-8")))
    words = english()
    said = set(re.findall(r"""say\(\s*["']([\w.]+)["']""", whole))
    said |= set(re.findall(r"""words\['([\w.]+)'\]""", whole))
    begun = tuple(re.findall(r"say\(`([\w.]+\.)\$\{", whole))
    assert said <= set(words)
    quoted = set(chain.from_iterable(re.findall(r'"([\w.]+)"', text) for text in texts().values()))
    unused = {name for name in words if name not in said | quoted and not name.startswith(begun)}
    assert unused == set()
    assert {f"view.{view.name}" for view in VIEWS} <= set(words)


def test_data_are_never_markup_and_nothing_is_fetched_but_the_stand() -> None:
    for path, text in texts().items():
        assert not [word for word in MARKUP if word in text], path.name
        if path.name != "ask.js":
            assert "fetch(" not in text, path.name
            assert "XMLHttpRequest" not in text, path.name


def test_sources_are_short() -> None:
    for path, text in texts().items():
        assert len(text.splitlines()) <= 400, path.name
        assert max(map(len, text.splitlines())) <= 120, path.name


def test_packages_are_pinned() -> None:
    """Exact versions, each with what it must hash to."""
    asked = json.loads((WEB / "package.json").read_text(encoding="utf-8"))
    pinned = asked["dependencies"] | asked["devDependencies"]
    assert all(version[0].isdigit() for version in pinned.values())
    locked = json.loads((WEB / "package-lock.json").read_text(encoding="utf-8"))["packages"]
    assert locked[""]["dependencies"] == asked["dependencies"]
    for name, row in locked.items():
        assert name == "" or row["integrity"].startswith("sha512-")
