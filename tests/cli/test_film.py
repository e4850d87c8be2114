"""The film: one file, the same bytes twice, one message for bad input and nothing left behind."""

import pytest

from coolsim.cli.papers import film
from coolsim.report.figures import animation

SHORT = ["--frames", "3", "--seconds", "1", "--until", "1h"]


def test_the_limits_in_the_help_are_those_of_the_animation():
    # Written twice, so that a help text does not import matplotlib.
    assert (film.FRAMES, film.SECONDS) == (animation.FRAMES, animation.SECONDS)
    assert (film.MOST_FRAMES, film.MOST_RUNS) == (animation.MOST_FRAMES, animation.MOST_RUNS)
    assert film.SHORTEST == animation.SHORTEST_PICTURE


def test_a_saved_result_gives_the_same_bytes_as_its_scenario(coolsim, bare, folder):
    coolsim("run", bare, "--no-figures", "--save", "bare.npz")
    assert coolsim("make", "film", "bare.toml", *SHORT, "-o", "one.gif").exit_code == 0
    done = coolsim("make", "film", "bare.npz", *SHORT, "-o", "other.gif")
    assert done.exit_code == 0
    assert done.stdout == ""
    assert done.stderr == "wrote other.gif\n"
    content = (folder / "one.gif").read_bytes()
    assert content.startswith(b"GIF89a")
    assert (folder / "other.gif").read_bytes() == content


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["bare.toml", "--frames", "1"], 2, "give 2 to 300"),
        (["bare.toml", "--seconds", "0.1"], 2, "need 1.92 s at least"),
        (["bare.toml", "--seconds", "nan"], 2, "need 1.92 s at least"),
        (["bare.toml", "--until", "0h"], 2, "above zero"),
        (["bare.toml"] * 5, 2, "give 4 at most"),
        (["bare.toml", "-o", "a.png"], 2, "ends in .gif or .mp4"),
        (["bare.toml", "-o", "a.mp4"], 4, "an MP4 needs ffmpeg, which is not on this computer"),
        (["bare.toml", "-o", "missing/a.gif"], 4, "there is no folder 'missing'"),
        (["missing.npz"], 3, "no such file"),
    ],
)
def test_bad_input_is_one_message_before_any_run(arguments, code, says, coolsim, bare, folder, monkeypatch):
    def run(*_, **__):
        raise AssertionError("the simulation ran")

    monkeypatch.setattr("coolsim.solve.simulate.simulate", run)
    monkeypatch.setenv("PATH", str(folder))
    result = coolsim("make", "film", *arguments)
    assert result.exit_code == code
    assert says in " ".join(result.stderr.split())
    assert [path.name for path in folder.iterdir()] == ["bare.toml"]


def test_an_mp4_of_its_own_is_replaced_and_one_of_a_camera_is_not(coolsim, bare, folder, monkeypatch):
    # What ffmpeg writes begins and ends like this; the film itself is in tests/figures/test_mp4.py.
    begins = b"\x00\x00\x00\x20ftypisom"
    monkeypatch.setattr("coolsim.report.figures.mp4.find_encoder", lambda path: "ffmpeg")
    monkeypatch.setattr("coolsim.report.figures.animation.encode_mp4", lambda *_: begins + b"coolsim")
    for _ in range(2):
        assert coolsim("make", "film", bare, *SHORT, "-o", "jar.mp4").exit_code == 0
    (folder / "jar.mp4").write_bytes(begins + b"camera")
    done = coolsim("make", "film", bare, *SHORT, "-o", "jar.mp4")
    assert done.exit_code == 4
    assert "jar.mp4: exists already" in done.stderr
