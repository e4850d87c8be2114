"""The wax that a fit found, kept under a name: its file, its card, and what other commands make of it."""

import datetime
import json

import pytest
from commands import coarse
from drawn_texts import beyond_the_page, overlaps, texts

from coolsim import load_results, load_scenario, save_results, simulate
from coolsim.report.paper.wax_card import draw_wax_card
from coolsim.scenario.kept import read_kept
from coolsim.studies.fit.fit import fit_measured
from coolsim.studies.fit.log import Log, Probe
from coolsim.studies.fit.own_wax import own_wax
from coolsim.studies.fit.parameters import Measured, Seen

FIT = (
    "fit",
    "bare.toml",
    "--seen",
    "top closed=0:55±0:02",
    "--fields",
    "wax.latent_heat,films.top_factor",
    "--workers",
    "1",
)
KEEP = (*FIT, "--keep", "spring batch")
FILE = "coolsim-waxes/spring batch.toml"


def test_a_fitted_wax_is_kept_shown_and_used(coolsim, bare, folder):
    done = coolsim(*KEEP, "--json", "--no-figures")
    assert done.exit_code == 0, done.stderr
    assert [path.name for path in folder.iterdir() if path.is_dir()] == ["coolsim-waxes"]
    found = json.loads(done.stdout)
    heat, film = (one["raw"] for one in found["fields"])
    assert found["kept"]["wax"]["latent_heat"] == heat
    text = (folder / FILE).read_text(encoding="utf-8")
    assert text.startswith(f'# "spring batch", a wax of your own, kept on {datetime.date.today().day} ')
    assert "from what was seen, with the jar of bare.toml" in text
    assert f'latent_heat = "{heat}"' in text
    assert "# fitted to what was seen, 95 % from " in text
    # What is the room's or the oil's is not kept.
    assert list(read_kept(folder / FILE)) == ["name", "wax"]
    assert not {"fragrance_load", "name"} & set(read_kept(folder / FILE)["wax"])
    assert film != 1.0
    listed = coolsim("materials").stdout
    assert "spring batch" in listed
    assert listed.startswith(coolsim("materials", "--quiet").stdout.split("wax of your own")[0])
    assert coolsim("materials", "spring batch").stdout.strip() == text.strip()
    (one,) = json.loads(coolsim("materials", "spring batch", "--json").stdout)["materials"].values()
    assert one["wax"] == found["kept"]["wax"]
    assert coolsim("materials", "spring batch", "soft-vegetable", "--figure", "--format", "svg").exit_code == 0
    mine = bare.read_text(encoding="utf-8").replace('kind = "soft-vegetable"', 'kind = "spring batch"')
    (folder / "mine.toml").write_text(mine, encoding="utf-8")
    assert load_scenario(folder / "mine.toml").data["wax"]["kind"]["wax"]["latent_heat"] == heat
    # A result that is saved opens without the folder, and so does a worker.
    scenario = load_scenario(folder / "mine.toml")
    save_results(folder / "mine.npz", [(scenario, simulate(scenario.jar))])
    swept = coolsim("sweep", "mine.toml", "--over", "wax.kind=spring batch,soy", "--workers", "2", "--json")
    assert swept.exit_code == 0, swept.stderr
    (folder / FILE).unlink()
    assert [one.jar for one, _ in load_results(folder / "mine.npz")] == [scenario.jar]


def test_a_wax_is_not_lost_without_being_asked(coolsim, bare, folder):
    (folder / "coolsim-waxes").mkdir()
    (folder / FILE).write_text('[wax]\nkind = "soy"\n', encoding="utf-8")
    done = coolsim(*KEEP, "--no-figures")
    assert done.exit_code == 4
    assert f"{FILE}: exists already. Give another name, or --force to replace it." in done.stderr
    assert coolsim(*KEEP, "--no-figures", "--force").exit_code == 0
    assert "latent_heat" in (folder / FILE).read_text(encoding="utf-8")


@pytest.mark.usefixtures("bare")
@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (("--keep", "soy"), "--keep: found 'soy', which is a wax of the catalogue already."),
        (("--keep", "a/b"), "--keep: found 'a/b', which cannot name a file everywhere."),
        (("--keep", "mine", "--fields", "films.top_factor"), "--keep: no value of the wax is fitted."),
    ],
)
def test_what_cannot_be_kept_is_refused_before_a_run(coolsim, folder, asked, says):
    done = coolsim("fit", "bare.toml", "--seen", "top closed=0:55±0:02", *asked)
    assert done.exit_code == 2
    assert says in " ".join(done.stderr.split())
    assert not (folder / "coolsim-waxes").exists()


def test_a_broken_kept_wax_is_named_by_every_command(coolsim, bare, folder):
    (folder / "coolsim-waxes").mkdir()
    (folder / FILE).write_text("[wax\n", encoding="utf-8")
    bare.write_text(bare.read_text(encoding="utf-8").replace('"soft-vegetable"', '"spring batch"'), encoding="utf-8")
    for asked in (("run", "bare.toml", "--no-figures"), ("materials",)):
        done = coolsim(*asked)
        assert done.exit_code == 3
        assert f"{FILE}: line 1, column 5: not TOML" in done.stderr
        assert done.stdout == ""


@pytest.fixture(scope="module")
def own(tmp_path_factory):
    path = tmp_path_factory.mktemp("card") / "bare.toml"
    path.write_text(coarse("tumbler-bare.toml"), encoding="utf-8")
    scenario = load_scenario(path)
    run = simulate(scenario.jar)
    probe = Probe(
        name="axis", place=(0.0, 0.035), time=run.time[1::9], temperature=run.temperature_at(0.0, 0.035)[1::9] - 1.0
    )
    log = Log(where="log.csv", probes=(probe,), how=())
    keys = ["wax.freezing_starts", "wax.latent_heat", "films.top_factor"]
    seen = (Seen("top closed", 3000.0, 120.0),)
    return own_wax(fit_measured([Measured(scenario=scenario, log=log, seen=seen)], fields=keys, workers=1))


@pytest.mark.parametrize(("units", "size", "degree"), [("metric", (297, 210), "°C"), ("us", (279, 216), "°F")])
def test_the_card_has_the_numbers_of_the_fit_and_of_both_runs(own, units, size, degree):
    card = draw_wax_card(own, "spring batch", day=datetime.date(2026, 3, 14), units=units)
    assert [round(25.4 * side) for side in card.get_size_inches()] == list(size)
    written = " ".join(" ".join(text.get_text() for text, _ in texts(card)).split())
    starts, heat, _ = own.fit.fields
    shown = starts.value if units == "metric" else 1.8 * starts.value + 32.0
    for words in (
        "spring batch",
        "14 March 2026 from log.csv and what was seen, with bare.toml",
        f"Freezes from {shown:.1f} {degree}",
        f"{100 * abs(heat.value / heat.known.centre - 1.0):.0f} % ",
        "is fully set",
        'kind = "spring batch"',
        "films.top_factor",
        "Computed, not measured",
        "Hot wax burns skin",
    ):
        assert words in written
    for answers in (own.assumed, own.found):
        minutes = round(answers["fully_set_s"] / 60.0)
        assert f"{minutes // 60}:{minutes % 60:02d}" in written
    # Lines of a paragraph are as far apart as they are high, to the pixel.
    assert not overlaps(card, pixels=1.5)
    assert not beyond_the_page(card)
    assert any(line.get_gid() == "after-0-0" for axes in card.axes for line in axes.lines)
