"""What README.md says is what happens: its sessions, its Python, its figures."""

import re

import pytest
import readme
from alike import alike

RENEW = "run `python tests/support/readme.py`"
# A plan of the day is rounded to five minutes.
PLANNED = 5


@pytest.fixture(scope="module")
def played(tmp_path_factory):
    """The sessions as they are in the README, and as they run one after the other in one empty folder."""
    folder = tmp_path_factory.mktemp("session")
    written = readme.sessions(readme.text())
    return folder, written, [readme.played(one, folder) for one in written]


def test_the_sessions_print_what_they_show(played):
    _, written, ran = played
    assert len(written) > 3
    for shown, happened in zip(written, ran, strict=True):
        if not alike(shown, happened, step=PLANNED if re.search(r"^\$ coolsim (to)?day ", shown, re.MULTILINE) else 1):
            # pytest shows the difference.
            assert happened == shown, RENEW


def test_the_sessions_leave_the_files_that_they_name(played):
    folder, written, _ = played
    named = {name for one in written for name in re.findall(r"^wrote (\S+)$", one, re.MULTILINE)}
    assert "coolsim-figures/jar-temperature-maps.png" in named
    for name in named:
        assert (folder / name).stat().st_size > 500, name


def test_it_is_for_one_reader_and_its_table_of_contents_leads_to_each_heading():
    lines = readme.text().splitlines()
    assert len(lines) < 300
    headings = [line.removeprefix("## ") for line in lines if line.startswith("## ")]
    targets = [re.sub(r"[^\w -]", "", heading).lower().replace(" ", "-") for heading in headings]
    linked = re.findall(r"\]\(#([^)]+)\)", readme.text().partition("## Install")[0])
    assert linked == targets


def test_the_python_example_runs_as_it_is_after_coolsim_new(tmp_path, monkeypatch, capsys):
    (example,) = readme.examples(readme.text())
    assert len([line for line in example.splitlines() if line]) <= 6
    readme.played("$ coolsim new jar.toml", tmp_path)
    monkeypatch.chdir(tmp_path)
    exec(compile(example, "README.md", "exec"), {})
    printed = capsys.readouterr().out
    for expected in (" 60 C ", " 68 C", "140 °F", "154 °F", "Top closed"):
        assert expected in printed
    assert sorted(path.name for path in tmp_path.iterdir()) == ["jar.toml", "set-times.pdf"]
    assert (tmp_path / "set-times.pdf").read_bytes().startswith(b"%PDF")


def test_every_figure_that_is_shown_is_there_and_every_one_there_is_made_by_the_command():
    text = readme.text()
    shown = re.findall(r"!\[[^\]]+\]\((\S+)\)", text)
    assert "figures/temperature-maps.png" in shown
    for name in shown:
        assert (readme.PATH.parent / name).is_file(), name
    # Under each stands the command that drew it.
    assert len(re.findall(r"\)\n\n\*Drawn by\* `coolsim ", text)) == len(shown)
    for scenario in re.findall(r"(scenarios/[\w-]+\.toml)", text):
        assert (readme.PATH.parent / scenario).is_file(), scenario
    from coolsim.cli.options import Figure

    made = {
        *(f"{name}.png" for name in Figure),
        "cooling.gif",
        "convection.png",
        "box-3x4-box.png",
        "guess-reveal.png",
        "guess-strip.png",
        "tumbler-bare-log.png",
        "tumbler-bare-poster.png",
        "tumbler-bare-pour.png",
        "tumbler-bare-repair.png",
        "tumbler-bare-whatif.png",
        "tumbler-boxed-spread.png",
        "shown.json",
    }
    assert {path.name for path in (readme.PATH.parent / "figures").iterdir()} == made


def test_it_says_what_can_hurt_and_who_comes_first():
    text = " ".join(readme.text().split())
    for expected in ("Hot wax burns", "Glass can crack", "data sheets", "computed, not measured", "codes"):
        assert expected in text.replace("> ", "")


def test_both_documents_name_no_path_of_one_machine():
    for name in ("README.md", "DEVELOPERS.md"):
        text = (readme.PATH.parent / name).read_text(encoding="utf-8")
        assert not re.search(r"(^|[\s`(])/(home|root|work|tmp|usr)/", text), name
