"""A scenario may name a wax that its maker kept, which travels inside it from then on."""

import json

import pytest

from coolsim.errors import ScenarioError
from coolsim.scenario import built_in_pair, changed, load_scenario, scenario_from_data, with_overrides
from coolsim.scenario.edit import edited_text
from coolsim.scenario.kept import KEPT_FOLDER, kept_file, kept_waxes
from tests.support.commands import SCENARIOS

SPRING = """
[wax]
kind = "soy"
freezing_starts = "43.6 °C"
latent_heat = "115 kJ/kg"

[mush]
stiffness = "2 MPa"
"""


@pytest.fixture
def workshop(tmp_path):
    """A folder with a kept wax, and below it one with a jar of that wax."""
    keep(tmp_path, "spring batch", SPRING)
    text = (SCENARIOS / "tumbler-bare.toml").read_text(encoding="utf-8")
    assert 'kind = "soft-vegetable"' in text
    jars = tmp_path / "jars"
    jars.mkdir()
    (jars / "mine.toml").write_text(text.replace('"soft-vegetable"', '"spring batch"'), encoding="utf-8")
    return tmp_path


def keep(folder, name, text):
    (folder / KEPT_FOLDER).mkdir(exist_ok=True)
    (folder / KEPT_FOLDER / f"{name}.toml").write_text(text, encoding="utf-8")


def of(scenario):
    return (
        scenario.file.wax.name,
        scenario.plain_wax.freezing_starts,
        scenario.plain_wax.latent_heat,
        scenario.file.mush.stiffness,
    )


KEPT = ("spring batch", 43.6, 115e3, 2e6)


def test_a_wax_is_found_in_the_folder_of_the_scenario_and_in_those_above(workshop):
    assert of(load_scenario(workshop / "jars" / "mine.toml")) == KEPT
    assert "spring batch" in load_scenario(workshop / "jars" / "mine.toml").jar.wax.name
    keep(workshop / "jars", "spring batch", SPRING.replace("43.6", "44.4"))
    # The nearer one wins.
    assert of(load_scenario(workshop / "jars" / "mine.toml"))[1] == 44.4


def test_what_the_scenario_states_itself_wins(workshop):
    mine = load_scenario(workshop / "jars" / "mine.toml")
    assert with_overrides(mine, {"wax.latent_heat": "120 kJ/kg"}).plain_wax.latent_heat == 120e3
    # Rows of its own are in the place of the two temperatures that are kept.
    rows = [["45 °C", "100 %"], ["35 °C", "0 %"]]
    assert with_overrides(mine, {"wax.freezing": rows}).plain_wax.freezing_starts == 45.0


def test_a_scenario_needs_the_folder_no_more_once_it_is_read(workshop):
    mine = load_scenario(workshop / "jars" / "mine.toml")
    sent = json.loads(json.dumps(mine.data))
    (workshop / KEPT_FOLDER / "spring batch.toml").unlink()
    again = scenario_from_data(sent, where="nowhere/mine.toml")
    assert (again.jar, again.data) == (mine.jar, mine.data)
    assert of(with_overrides(again, {"pour.temperature": "66 °C"})) == KEPT
    for values in ({"wax.latent_heat": 120e3}, {"mush.exponent": 2.0}, {"pour.temperature": 66.0}):
        one = changed(again, values)
        assert scenario_from_data(one.data, where=one.where).jar == one.jar
        assert (one.file.wax.name, one.file.mush.stiffness) == ("spring batch", 2e6)


def test_another_kind_leaves_nothing_of_the_kept_wax(workshop):
    mine = load_scenario(workshop / "jars" / "mine.toml")
    plain = built_in_pair()[0]
    for other in (with_overrides(mine, {"wax.kind": "soy"}), changed(mine, {"wax.kind": "soft-vegetable"})):
        assert of(other) == of(plain)
    # And back, from the folder.
    away = with_overrides(mine, {"wax.kind": "paraffin", "pour.temperature": "75 °C"})
    assert of(with_overrides(away, {"wax.kind": "spring batch"})) == KEPT


def test_values_of_its_file_can_be_changed_in_place(workshop):
    file = workshop / "jars" / "mine.toml"
    text = file.read_text(encoding="utf-8")
    new = edited_text(text, load_scenario(file), {"wax.latent_heat": ("120 kJ/kg", "fitted")})
    file.write_text(new, encoding="utf-8")
    assert 'kind = "spring batch"' in new
    assert of(load_scenario(file)) == ("spring batch", 43.6, 120e3, 2e6)


def test_a_kind_that_is_not_known_is_told_with_the_kept_ones(workshop):
    mine = load_scenario(workshop / "jars" / "mine.toml")
    for kind in ("spring bach", {"wax": {"kind": "soy"}}):
        with pytest.raises(ScenarioError, match=r"wax\.kind: found .*, or of those that you kept 'spring batch'"):
            with_overrides(mine, {"wax.kind": kind})
    # Where it comes from need not be a file at all.
    for where in ("my notebook", "a\0b/c.toml", f"{'x' * 5000}/c.toml", ""):
        with pytest.raises(ScenarioError, match=r"wax\.kind: found 'spring bach', give one of"):
            scenario_from_data({**mine.data, "wax": {"kind": "spring bach"}}, where=where)
    with pytest.raises(ScenarioError, match="did you mean 'spring batch'"):
        with_overrides(mine, {"wax.kind": "spring bach"})


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[wax\n", "line 1, column 5: not TOML"),
        ("# nothing\n", "empty"),
        ("[wax]\nkind = 'soy'\nlatent_heat = 115\n", "wax.latent_heat: found 115"),
        ("[wax]\nkind = 'soy'\nlatent = '115 kJ/kg'\n", "wax.latent: unknown key. Did you mean 'latent_heat'?"),
        ("[wax]\nkind = 'soy'\n[room]\ntemperature = '20 °C'\n", "room: unknown key"),
        ("[wax]\nkind = 'spring batch'\n", "wax.kind: found 'spring batch', give one of"),
        ("[wax]\nkind = 'soy'\nfreezing_starts = '20 °C'\n", "wax.freezing_ends"),
        ("[mush]\nstiffness = '2 MPa'\n", "wax: missing"),
    ],
)
def test_a_broken_file_is_named_with_what_is_wrong(workshop, text, says):
    keep(workshop, "spring batch", text)
    with pytest.raises(ScenarioError) as found:
        load_scenario(workshop / "jars" / "mine.toml")
    (fault,) = found.value.faults
    assert fault.startswith(str(workshop / KEPT_FOLDER / "spring batch.toml: "))
    assert says in fault


@pytest.mark.parametrize("name", ["soy", "Soy", "paraffin", "a/b", "..", "spring.", "", "x" * 41, "con", "a\nb", " a"])
def test_names_that_are_taken_or_name_no_file_are_refused(tmp_path, name):
    with pytest.raises(ScenarioError, match=r"^found .*such as 'spring batch'"):
        kept_file(name, tmp_path / "jar.toml")


def test_a_wax_is_kept_where_others_are_or_beside_its_scenario(workshop, tmp_path_factory):
    # Letters with an accent are one, or two as some file systems have them.
    assert kept_file("Frühling", workshop / "jars" / "mine.toml") == workshop / KEPT_FOLDER / "Frühling.toml"
    keep(workshop, "Fru\u0308hling", SPRING)
    assert list(kept_waxes(workshop / "jars" / "mine.toml")) == ["Frühling", "spring batch"]
    alone = tmp_path_factory.mktemp("alone")
    assert kept_file("spring batch", alone / "jar.toml") == alone / KEPT_FOLDER / "spring batch.toml"
