"""A film as an MP4 that phones play, by the ffmpeg of the computer."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from fractions import Fraction
from itertools import chain
from pathlib import Path
from typing import IO, cast

import numpy as np
from numpy.typing import NDArray

from coolsim.errors import OutputError

_CODEC = "libx264"
# Few colours in large areas: at 20 no eye finds the difference. With its index at the beginning it plays at once.
_HOW = ("-crf", "20", "-preset", "slow", "-tune", "animation", "-pix_fmt", "yuv420p", "-movflags", "+faststart")
# Equal pictures give equal bytes, on any number of processors; the comment tells what coolsim may replace.
_SAME = ("-threads", "1", "-fflags", "+bitexact", "-flags:v", "+bitexact", "-metadata", "comment=coolsim")


def find_encoder(path: Path | str) -> str:
    """Find the program that writes an MP4; OutputError, with the way out, on a computer without it."""
    program = shutil.which("ffmpeg")
    if program is None:
        raise OutputError(
            f"{path}: cannot be written: an MP4 needs ffmpeg, which is not on this computer. Install it, or end the"
            " name in .gif."
        )
    listed = subprocess.run([program, "-hide_banner", "-encoders"], capture_output=True, check=False)
    if _CODEC.encode() not in listed.stdout.split():
        raise OutputError(
            f"{path}: cannot be written: the ffmpeg of this computer has no {_CODEC}. Install one that has it, or end"
            " the name in .gif."
        )
    return program


def encode_mp4(path: Path | str, pictures: Iterator[NDArray[np.uint8]], rate: float) -> bytes:
    """Encode pictures of one even size, so many in a second [1/s], for a file of that name."""
    program, first = find_encoder(path), next(pictures)
    size, often = f"{first.shape[1]}x{first.shape[0]}", str(Fraction(rate).limit_denominator(1000))
    given = ("-f", "rawvideo", "-pix_fmt", "rgba", "-s", size, "-r", often, "-i", "-")
    with tempfile.TemporaryDirectory() as folder, (Path(folder) / "said").open("w+b") as said:
        file = Path(folder) / "film.mp4"
        process = subprocess.Popen(
            [program, "-loglevel", "error", *given, "-c:v", _CODEC, *_HOW, *_SAME, str(file)],
            stdin=subprocess.PIPE, stdout=said, stderr=said,
        )  # fmt: skip
        try:
            # What ended by itself takes nothing more, and has said why.
            with contextlib.suppress(BrokenPipeError), cast(IO[bytes], process.stdin) as pipe:
                for picture in chain([first], pictures):
                    pipe.write(picture.tobytes())
            code = process.wait()
        except BaseException:
            process.kill()
            process.wait()
            raise
        if code:
            said.seek(0)
            words = said.read().decode(errors="replace").strip() or f"code {code}"
            raise OutputError(
                f"{path}: cannot be written: ffmpeg failed ({words.splitlines()[-1]}). Or end the name in .gif."
            )
        return file.read_bytes()
