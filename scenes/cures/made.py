"""What is to be made: a detail with the faults that stay in it, as a cure changes it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from meshes.errors import SceneError
from meshes.parts import Assembly, Part
from meshes.spec import Detail
from scenes.faults.apply import as_text, detail_made, made_wrong
from scenes.faults.asked import asked_for
from scenes.faults.fault import SIDES, OnMeasures
from scenes.scene import Scene


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """A detail and the faults that its pieces still have. scene: whose it is, without faults of its
    own, so that it can go to another process; faults: as they are written on the command line; files:
    parts from files, already read."""

    scene: Scene
    detail: Detail
    faults: tuple[str, ...]
    files: tuple[Part, ...]

    @staticmethod
    def of(scene: Scene, assembly: Assembly) -> Made:
        """What a scene's pieces are made to: faults of measures that hold all round are in the detail;
        those of one side's pieces, and of single parts, stay faults. assembly: the scene's."""
        detail = detail_made(scene)
        assert detail is not None, "a scene of parts from files alone has no measures to change"
        names = {file.name for file in scene.parts}
        kept = tuple(
            as_text(one)
            for one in scene.faults
            if not isinstance(one.fault, OnMeasures) or _of_one_side(one.fault, one.place)
        )
        files = tuple(part for part in assembly if part.name in names)
        return Made(replace(scene, faults=(), detail=detail), detail, kept, files)

    def but(self, detail: Detail) -> Made:
        """The same with another detail."""
        return Made(self.scene, detail, self.faults, self.files)

    def with_faults(self, faults: tuple[str, ...]) -> Made:
        """The same with other faults."""
        return Made(self.scene, self.detail, faults, self.files)

    def assembly(self) -> Assembly:
        """All its parts. Raises SceneError for what can't be built."""
        from meshes.build import build

        if not self.faults:
            built = build(self.detail)
        else:
            wrong = replace(self.scene, detail=self.detail, faults=asked_for(self.faults))
            built = made_wrong(wrong)
        return Assembly((*built.parts, *self.files))

    def assembly_or_none(self) -> Assembly | None:
        """All its parts, None for what can't be built."""
        try:
            return self.assembly()
        except SceneError:
            return None


def _of_one_side(fault: OnMeasures, place: str) -> bool:
    return fault.side_by_side or (fault.side_alone is not None and place in SIDES)
