"""Write a diagnosis down: its figures, and a picture of each of the first three suspects."""

from __future__ import annotations

import json
from pathlib import Path

from scenes.assemble import assemble
from scenes.diagnose.diagnosis import SHOWN, Diagnosis
from scenes.folder import fresh_folder, write_files
from scenes.progress import Remarks


def write_diagnosis(
    found: Diagnosis, folder: Path, *, force: bool, picture: bool, remarks: Remarks
) -> tuple[str, ...]:
    """Write diagnosis.json and, if asked for, suspect-1.png to suspect-3.png; their names.

    The folder is the old one whole or the new one whole. Raises SceneError when the disk says no.
    """
    told = found.to_dict()
    text = json.dumps(told, indent=2, allow_nan=False) + "\n"
    names = ["diagnosis.json"]
    with fresh_folder(folder, force=force) as new:
        write_files(new, {"diagnosis.json": text.encode()})
        if not picture:
            return tuple(names)
        from scenes.diagnose.picture import suspect_stage, view_of
        from scenes.picture import draw

        right = assemble(found.scene)
        for one in found.explained[:SHOWN]:
            with remarks.step(f"Drawing suspect {one.rank}"):
                name = f"suspect-{one.rank}.png"
                draw(suspect_stage(one, told, right), new / name, view=view_of(one))
            names.append(name)
    return tuple(names)
