"""The page's own words, in English or in a trainer's own language."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

from meshes.errors import SceneError
from scenes.whole_file import whole_file

ENGLISH: Final = Path(__file__).parent / "words" / "en.json"
LONGEST: Final = 2000
"""Letters of one line of words."""
LARGEST: Final = 200_000
"""A file of words is smaller [bytes]."""


def english() -> dict[str, str]:
    """All words that the page has of its own, by what they are for."""
    words: dict[str, str] = json.loads(ENGLISH.read_text(encoding="utf-8"))
    return words


def words_of(file: Path | None) -> dict[str, str]:
    """The words of a file over the English ones, which stay where the file has none. Raises SceneError
    for a file that can't be read, and for words that the page has no place for."""
    words = english()
    if file is None:
        return words
    try:
        if file.stat().st_size > LARGEST:
            raise SceneError(
                f"{file}: must be under {LARGEST:,} bytes. Got {file.stat().st_size:,}"
            )
        own = json.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise SceneError(f"{file}: can't be read ({error.strerror or error})") from error
    except UnicodeDecodeError as error:
        raise SceneError(f"{file}: must be UTF-8 text") from error
    except (json.JSONDecodeError, RecursionError) as error:
        where = f" (line {error.lineno})" if isinstance(error, json.JSONDecodeError) else ""
        raise SceneError(f"{file}: must be JSON{where}") from error
    if not isinstance(own, dict):
        raise SceneError(
            f"{file}: must hold names and words, as `stackrain page --words-to` writes"
        )
    for name, text in own.items():
        _check(file, name, text, words)
    return words | own


def write_words(file: Path, *, force: bool) -> None:
    """Write the English words to a file, to be translated. Raises SceneError when the disk says no."""
    with whole_file(file, force=force, endings=(".json",)) as half:
        half.write_bytes(ENGLISH.read_bytes())


def _check(file: Path, name: str, text: object, words: dict[str, str]) -> None:
    if name not in words:
        raise SceneError(f"{file}: the page has no words named {name!r}")
    if not isinstance(text, str) or not text.strip() or len(text) > LONGEST:
        raise SceneError(f"{file}: {name} must be words, up to {LONGEST} letters. Got {text!r:.60}")
    wanted, got = _blanks(words[name]), _blanks(text)
    if wanted != got:
        rule = "must have the same blanks in braces as the English"
        told = ", ".join(sorted(wanted)) or "none"
        raise SceneError(f"{file}: {name} {rule} ({told}). Got {text!r:.60}")


def _blanks(text: str) -> set[str]:
    """The names in braces."""
    return {part.split("}", 1)[0] for part in text.split("{")[1:] if "}" in part}
