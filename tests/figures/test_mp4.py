"""The film as an MP4: by the ffmpeg of the computer if it has one, else one message with the way out."""

import json
import shutil
import subprocess
import sys

import numpy as np
import pytest
from PIL import Image

from coolsim.errors import OutputError
from coolsim.report.figures.animation import save_animation
from coolsim.report.figures.mp4 import encode_mp4, find_encoder

SHORT = {"frames": 3, "seconds": 1.5, "until": 3600.0}
# What ffmpeg says, takes and writes; `{ends}` is what a test wants of it beside that.
FFMPEG = """#!{python}
import json, sys
if "-encoders" in sys.argv:
    print(" V....D {codec}   H.264")
    sys.exit()
{ends}
given = len(sys.stdin.buffer.read())
with open(sys.argv[-1], "w") as file:
    json.dump([given, sys.argv[1:-1]], file)
"""


@pytest.fixture
def ffmpeg(tmp_path, monkeypatch):
    """Put a made-up ffmpeg, and nothing else, where programs are looked for."""

    def put(*, codec="libx264", ends=""):
        folder = tmp_path / "bin"
        folder.mkdir()
        program = folder / "ffmpeg"
        program.write_text(FFMPEG.format(python=sys.executable, codec=codec, ends=ends))
        program.chmod(0o755)
        monkeypatch.setenv("PATH", str(folder))

    return put


def pictures(count):
    for shade in range(count):
        yield np.full((4, 6, 4), shade, dtype=np.uint8)


def test_every_picture_is_handed_over_and_what_phones_play_is_asked_for(ffmpeg):
    ffmpeg()
    given, asked = json.loads(encode_mp4("film.mp4", pictures(5), 8.0))
    assert given == 5 * 4 * 6 * 4
    for words in (
        "-f rawvideo -pix_fmt rgba -s 6x4 -r 8 -i -",
        "-c:v libx264",
        "-pix_fmt yuv420p -movflags +faststart",
        "-metadata comment=coolsim",
    ):
        assert words in " ".join(asked)


def test_without_ffmpeg_one_message_has_the_way_out(ffmpeg, pair, tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(OutputError) as error:
        save_animation(tmp_path / "film.mp4", pair[:1], **SHORT)
    assert str(error.value) == (
        f"{tmp_path / 'film.mp4'}: cannot be written: an MP4 needs ffmpeg, which is not on this computer. Install it,"
        " or end the name in .gif."
    )
    ffmpeg(codec="mpeg4")
    with pytest.raises(OutputError, match=r"has no libx264\. Install one that has it, or end the name in \.gif\."):
        find_encoder("film.mp4")
    assert [one.name for one in tmp_path.iterdir()] == ["bin"]


@pytest.mark.parametrize("ends", ["sys.exit('no room')", "sys.stdin.buffer.read(); sys.exit('no room')"])
def test_an_ffmpeg_that_fails_is_one_message_and_leaves_no_file(ffmpeg, tmp_path, monkeypatch, ends):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    ffmpeg(ends=ends)
    # More than a pipe holds.
    many = (np.zeros((400, 400, 4), dtype=np.uint8) for _ in range(3))
    with pytest.raises(OutputError, match=r"ffmpeg failed \(no room\)\. Or end the name in \.gif"):
        encode_mp4("film.mp4", many, 8.0)
    assert [one.name for one in tmp_path.iterdir()] == ["bin"]


def test_an_interrupt_ends_ffmpeg_and_leaves_the_file_as_it_was(ffmpeg, pair, tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    ffmpeg(ends="import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)")
    started, start = [], subprocess.Popen
    monkeypatch.setattr("subprocess.Popen", lambda *given, **how: started.append(start(*given, **how)) or started[-1])
    path = tmp_path / "kept.mp4"
    path.write_bytes(b"as it was")

    def stop(done, _):
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        save_animation(path, pair[:1], **SHORT, on_frame=stop)
    assert started[-1].returncode is not None
    assert path.read_bytes() == b"as it was"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["bin", "kept.mp4"]


def test_with_the_encoder_of_this_computer_the_film_plays_and_else_it_is_refused(pair, tmp_path):
    program = shutil.which("ffmpeg")
    if program is None or b"libx264" not in subprocess.check_output([program, "-v", "error", "-encoders"]):
        with pytest.raises(OutputError, match=r"end the name in \.gif"):
            save_animation(tmp_path / "film.mp4", pair[:1], **SHORT)
        return
    save_animation(tmp_path / "film.mp4", pair[:1], **SHORT)
    written = (tmp_path / "film.mp4").read_bytes()
    # Its index stands before the pictures.
    assert 0 < written.index(b"moov") < written.index(b"mdat")
    assert b"coolsim" in written[:16384]
    played = subprocess.run(
        [program, "-i", str(tmp_path / "film.mp4"), "-f", "rawvideo", "-pix_fmt", "rgb24", "-"],
        capture_output=True,
        check=True,
    )
    assert b"Video: h264" in played.stderr
    assert b"yuv420p" in played.stderr
    save_animation(tmp_path / "film.gif", pair[:1], **SHORT)
    with Image.open(tmp_path / "film.gif") as file:
        size = file.size[0] * file.size[1] * 3
        first = np.asarray(file.convert("RGB")).astype(int)
    # Two pictures at the beginning, five at the end, two that fade.
    assert len(played.stdout) == 10 * size
    shown = np.frombuffer(played.stdout[:size], dtype=np.uint8).reshape(first.shape)
    # Colours of both are rounded; edges are softer in a video.
    assert np.abs(shown - first).mean() < 3.0
