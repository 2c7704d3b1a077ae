"""The page as one HTML file: words, style, script and data, none of them from anywhere else."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from meshes.errors import SceneError
from meshes.spec import Detail
from scenes import __version__, colours
from scenes.cautions import cautions_of
from scenes.page.detail import detail_values
from scenes.page.packing import FORMAT, Blob, packed
from scenes.page.ways import Ways
from scenes.run import Result
from scenes.stage import Stage
from scenes.stage_camera import VIEWS
from scenes.units_text import in_spoken

HERE: Final = Path(__file__).parent
SCRIPT: Final = HERE / "built" / "page.js"
LARGEST: Final = 2_000_000
"""A page is smaller [bytes]."""

_COLOURS: Final = (
    "PAPER", "SKY", "INK", "QUIET_INK", "RULE_LINE", "SHEET_EDGE", "COVERING_EDGE", "GHOST_EDGE",
    "WATER", "FALLING_WATER", "BEHIND", "GOOD", "SHORT_LAP", "DECIDING", "PLAIN",
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A result as a page shows it: found: as findings.json holds it, its leaks numbered as the stage has
    them; heading: what stands over it where there are two."""

    stage: Stage
    result: Result
    found: Mapping[str, Any]
    heading: str = ""


def head_values(kind: str, details: Sequence[Detail | None]) -> dict[str, Any]:
    """What every page's data begin with: what program, cautions for the details, named views and colours."""
    return {
        "format": FORMAT,
        "kind": kind,
        "program": f"stackrain {__version__}",
        "cautions": list(cautions_of(*details)),
        "views": [
            {"name": view.name, "azimuth": view.azimuth, "elevation": view.elevation}
            for view in VIEWS
        ],
        "colours": {name.lower(): colours.hexadecimal(getattr(colours, name)) for name in _COLOURS},
        "ramp": [colours.hexadecimal(colour) for colour in colours.RAMP],
    }


def page_data(kind: str, shown: Sequence[Shown], extra: Mapping[str, Any] | None = None) -> bytes:
    """The data of a page, its texts in the units that are spoken; kind: "one", "pair" (one camera for
    both), or "stand" with its `extra` values."""
    blob = Blob()
    details = [
        detail_values(
            one.stage, one.result.assembly, Ways.of(one.result, one.stage), one.found, blob,
            heading=one.heading,
        )
        for one in shown
    ]  # fmt: skip
    told = [
        in_spoken(detail) | {"title": detail["title"]}  # a name stays as it is
        for detail in details
    ]
    head = head_values(kind, [one.result.scene.detail for one in shown])
    return packed(head | {"details": told} | dict(extra or {}), blob)


def page_text(data: bytes, *, title: str, words: Mapping[str, str]) -> str:
    """The page, with its data and its words; nothing in a title or in words is ever markup. Raises
    SceneError where the installed program has no page script."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    script, style = _script(), (HERE / "web" / "page.css").read_text(encoding="utf-8")
    pages = Environment(
        loader=FileSystemLoader(HERE / "web"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    allowed = b64encode(sha256(script.encode()).digest()).decode()
    return pages.get_template("page.html").render(
        title=title,
        words=words,
        words_json=json.dumps(words, ensure_ascii=False).replace("<", "\\u003c"),
        data=b64encode(data).decode(),
        script=script,
        style=style,
        script_hash=f"sha256-{allowed}",
    )


def script_lacks() -> str:
    """What is missing to write a page, in a line; "" where nothing is."""
    if SCRIPT.is_file():
        return ""
    return (
        "the page's script was not built with this installation; python -m pip install . builds it"
    )


def _script() -> str:
    """The bundled script, safe between script tags."""
    if lack := script_lacks():
        raise SceneError(lack)
    text = SCRIPT.read_text(encoding="utf-8")
    return text.replace("</script", "<\\/script").replace("<!--", "<\\!--")
