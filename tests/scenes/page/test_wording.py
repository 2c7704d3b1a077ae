"""The page's words in another language."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result

from meshes.errors import SceneError
from scenes.page.wording import english, words_of

Stackrain = Callable[..., Result]


def test_words_of_a_file_stand_in_for_the_english_and_the_rest_stays(tmp_path: Path) -> None:
    name = next(iter(english()))
    file = tmp_path / "words.json"
    file.write_text(json.dumps({name: "Wasser"}), encoding="utf-8")
    words = words_of(file)
    assert words[name] == "Wasser"
    assert words | {name: english()[name]} == english()


def test_the_file_to_translate_is_taken_back_as_it_is(stackrain: Stackrain, tmp_path: Path) -> None:
    told = stackrain("page", "--words-to", "words.json")
    assert told.exit_code == 0
    assert words_of(tmp_path / "words.json") == english()
    assert stackrain("page", "--words-to", "words.json").exit_code == 2
    assert stackrain("page", "--words-to", "words.json", "--force").exit_code == 0


def _with_a_blank() -> str:
    return next(name for name, text in english().items() if "{" in text)


@pytest.mark.parametrize(
    ("content", "rule"),
    [
        (b"[]", "must hold names and words"),
        (b'{"no such words": "x"}', "no words named"),
        (b'{"lang": 5}', "must be words"),
        (b'{"lang": ""}', "must be words"),
        (b'{"lang":', "must be JSON (line 1)"),
        (b"[" * 100_000, "must be JSON"),
        (b"\xff\xfe{}", "must be UTF-8"),
        (b" " * 300_000, "must be under 200,000 bytes"),
    ],
)
def test_other_files_are_one_line(content: bytes, rule: str, tmp_path: Path) -> None:
    file = tmp_path / "words.json"
    file.write_bytes(content)
    with pytest.raises(SceneError) as refused:
        words_of(file)
    assert rule in str(refused.value)
    assert "\n" not in str(refused.value)


def test_blanks_must_stay(tmp_path: Path) -> None:
    """A sentence without its blank would leave the figure out."""
    file = tmp_path / "words.json"
    file.write_text(json.dumps({_with_a_blank(): "nothing"}), encoding="utf-8")
    with pytest.raises(SceneError, match="same blanks"):
        words_of(file)
