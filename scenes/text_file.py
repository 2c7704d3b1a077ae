"""Text that somebody else wrote, read whole: not too long, and letters that are letters."""

from __future__ import annotations

from pathlib import Path

from meshes.errors import SceneError


def text_of(path: Path, label: str, largest: int) -> str:
    """The text of a UTF-8 file, any mark of its byte order left in place.

    label: its name in messages; largest: the most bytes it may have. Raises SceneError with one line.
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(largest + 1)
    except OSError as error:
        raise SceneError(f"{path}: can't be read ({error.strerror})") from error
    if len(content) > largest:
        raise SceneError(f"{label}: must be at most {largest:,} bytes. Got more")
    try:
        return content.decode()
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise SceneError(f"{label}, line {line}: must be UTF-8 text. Got other bytes") from error
