"""What pages have written on them, heard while they are drawn."""

from __future__ import annotations

import pytest

from scenes.picture_page import Page


def words_on_pages(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A list that gets every word from now on, as it stands on its page."""
    said: list[str] = []
    face = Page._face

    def heard(page: Page, words: str, size: float) -> object:
        said.append(words)
        return face(page, words, size)

    monkeypatch.setattr(Page, "_face", heard)
    return said
