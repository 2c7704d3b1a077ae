"""Whether cures can be sought for a scene at all."""

from __future__ import annotations

from meshes.errors import SceneError
from scenes.scene import Scene


def check_curable(scene: Scene) -> None:
    """Raise SceneError with one line for a scene that has no measures to change."""
    if scene.detail is None:
        rule = "--cures needs measures to change"
        raise SceneError(f"{scene.file}: {rule}. Got parts from files alone")
