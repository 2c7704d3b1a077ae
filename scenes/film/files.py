"""Frames written to an MP4 or a GIF, whole or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np
from PIL import Image

from meshes.errors import SceneError

ENDINGS: Final = (".mp4", ".gif")
NO_WRITER: Final = "an MP4 needs one more package: pip install 'stackrain[film]'. A .gif needs none"


def lacking(ending: str) -> str:
    """Why a film of that ending can't be written on this machine, "" if it can."""
    from importlib.util import find_spec

    return NO_WRITER if ending == ".mp4" and find_spec("imageio_ffmpeg") is None else ""


def write_frames(
    frames: Iterator[Image.Image], file: Path, size: tuple[int, int], *, fps: int, ending: str
) -> None:
    """Write frames of a size [px], so many a second. Raises SceneError when the disk says no."""
    try:
        if ending == ".gif":
            _gif(frames, file, fps)
        else:
            _mp4(frames, file, size, fps)
    except OSError as error:
        raise SceneError(f"film {file} can't be written: {error.strerror or error}") from error


def _mp4(frames: Iterator[Image.Image], file: Path, size: tuple[int, int], fps: int) -> None:
    import imageio_ffmpeg  # type: ignore[import-untyped]

    writer = imageio_ffmpeg.write_frames(
        str(file), size, fps=fps, codec="libx264", pix_fmt_out="yuv420p", macro_block_size=2,
        quality=7, ffmpeg_log_level="error",
        # The same bytes each time: no threads that race, no date.
        output_params=["-threads", "1", "-fflags", "+bitexact", "-flags:v", "+bitexact", "-f", "mp4"],
    )  # fmt: skip
    writer.send(None)
    try:
        for frame in frames:
            writer.send(np.ascontiguousarray(np.asarray(frame)))
    finally:
        writer.close()


def _gif(frames: Iterator[Image.Image], file: Path, fps: int) -> None:
    first = next(frames)
    # One set of colours for all: with one a frame, still parts would flicker.
    palette = first.quantize(colors=255, dither=Image.Dither.NONE)
    rest = (frame.quantize(palette=palette, dither=Image.Dither.NONE) for frame in frames)
    palette.save(
        file, format="GIF", save_all=True, append_images=rest, duration=round(1000 / fps), loop=0,
        optimize=False,
    )  # fmt: skip
