"""model.glb against the glTF 2.0 validator of the Khronos Group (npm: gltf-validator)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from scenes.assemble import assemble
from scenes.glb import glb_bytes
from scenes.scene import load
from tests.scenes.page.web_tools import node, tool

CHECK = """
const {readFileSync} = require('fs');
require('gltf-validator').validateBytes(new Uint8Array(readFileSync(process.argv[1])))
  .then(report => console.log(JSON.stringify(report)), error => { throw error; });
"""


def _report(content: bytes, file: Path) -> dict[str, Any]:
    tool("gltf-validator")
    file.write_bytes(content)
    report: dict[str, Any] = json.loads(node(CHECK, str(file)))
    return report


def test_the_models_of_the_library_are_valid_gltf(tmp_path: Path) -> None:
    for name in ("cottage", "stepped", "turned"):
        content = glb_bytes(assemble(load(name)), name)
        issues = _report(content, tmp_path / f"{name}.glb")["issues"]
        assert (issues["numErrors"], issues["numWarnings"]) == (0, 0), issues["messages"][:3]


def test_the_validator_sees_a_broken_model(tmp_path: Path) -> None:
    """Derived: a bounds figure that the points do not have is an error of the standard."""
    content = glb_bytes(assemble(load("terrace")), "terrace")
    low = content.index(b'"min":[') + 7
    broken = content[:low] + b"9" + content[low + 1 :]
    assert _report(broken, tmp_path / "broken.glb")["issues"]["numErrors"] > 0
