import dataclasses
import json
import os
import typing
import zipfile

import numpy as np
import pytest

from coolsim import __version__, load_scenario
from coolsim.errors import ResultFileError
from coolsim.report.saved.store import FORMAT, load_results, save_results
from coolsim.report.text.curves import curves_csv
from coolsim.report.text.runs import answers_table
from coolsim.scenario import with_overrides
from coolsim.solve.result import Result
from coolsim.solve.together import simulate_jars
from tests.support.commands import SCENARIOS


@pytest.fixture(scope="module")
def saved(runs, tmp_path_factory):
    return save_results(tmp_path_factory.mktemp("store") / "runs.npz", runs)


def edited(source, target, change, *, drop=()):
    """Copy a saved file with its JSON changed and some arrays left out."""
    with np.load(source) as archive:
        arrays = {name: archive[name] for name in archive.files if name not in drop}
    meta = json.loads(str(arrays["meta"]))
    change(meta)
    arrays["meta"] = np.array(json.dumps(meta))
    np.savez(target, **arrays)
    return target


def test_events_ledger_and_everything_else_come_back_exactly(runs, saved):
    loaded = load_results(saved)
    assert len(loaded) == len(runs)
    for (_, before), (_, after) in zip(runs, loaded, strict=True):
        assert after.events == before.events
        assert after.ledger == before.ledger
        assert (after.name, after.parts, after.boundaries, after.nodes, after.warnings) == (
            before.name,
            before.parts,
            before.boundaries,
            before.nodes,
            before.warnings,
        )
        assert (after.melt, after.answers, after.ended) == (before.melt, before.answers, before.ended)
        for field in dataclasses.fields(before.history):
            np.testing.assert_array_equal(getattr(after.history, field.name), getattr(before.history, field.name))


def test_tables_and_curves_of_a_loaded_result_are_equal_to_the_last_letter(runs, saved):
    loaded = load_results(saved)
    for (scenario, before), (_, after) in zip(runs, loaded, strict=True):
        assert curves_csv(after) == curves_csv(before)
        np.testing.assert_array_equal(after.set_time(), before.set_time())
        assert answers_table([(scenario.title, after)]) == answers_table([(scenario.title, before)])


def test_top_and_cavity_of_a_loaded_result_are_those_of_the_run(runs, saved):
    for (_, before), (_, after) in zip(runs, load_results(saved), strict=True):
        assert after.volume_law == before.volume_law
        np.testing.assert_array_equal(after.surface_set, before.surface_set)
        for field in dataclasses.fields(before.shrinkage):
            np.testing.assert_array_equal(
                getattr(after.shrinkage, field.name), getattr(before.shrinkage, field.name), err_msg=field.name
            )


def test_the_scenario_comes_back_with_its_data(runs, saved):
    for (before, _), (after, _) in zip(runs, load_results(saved), strict=True):
        assert after == before
        assert after.data == before.data


def test_the_same_runs_give_the_same_bytes(runs, saved, tmp_path):
    assert save_results(tmp_path / "again.npz", runs).read_bytes() == saved.read_bytes()


def test_a_loaded_result_can_be_saved_again(saved, tmp_path):
    assert save_results(tmp_path / "again.npz", load_results(saved)).read_bytes() == saved.read_bytes()


def test_nothing_in_the_file_needs_pickle(saved):
    with np.load(saved, allow_pickle=False) as archive:
        for name in archive.files:
            assert archive[name].dtype != object


@pytest.mark.parametrize("share", [0.0, 0.01, 0.5, 0.9, 0.999])
def test_a_truncated_file_is_one_clear_error(saved, tmp_path, share):
    content = saved.read_bytes()
    broken = tmp_path / "broken.npz"
    broken.write_bytes(content[: int(share * len(content))])
    with pytest.raises(ResultFileError, match=r"broken\.npz: (no saved result|not a result)"):
        load_results(broken)


def test_a_flipped_bit_in_the_data_is_found(saved, tmp_path):
    content = bytearray(saved.read_bytes())
    # Somewhere inside the largest array.
    with zipfile.ZipFile(saved) as archive:
        largest = max(archive.infolist(), key=lambda entry: entry.file_size)
    content[largest.header_offset + largest.file_size // 2] ^= 1
    broken = tmp_path / "broken.npz"
    broken.write_bytes(content)
    with pytest.raises(ResultFileError, match="damaged"):
        load_results(broken)


def foreign_archive(path):
    np.savez(path, a=np.zeros(3))


def foreign_array(path):
    with path.open("wb") as file:
        np.save(file, np.zeros(3))


def pickled(path):
    np.savez(path, meta=np.array({"program": "coolsim"}, dtype=object))


def text(path):
    path.write_text("no archive\n")


def other_zip(path):
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("readme.txt", "hello")


@pytest.mark.parametrize("make", [foreign_archive, foreign_array, pickled, text, other_zip])
def test_a_foreign_file_is_one_clear_error(tmp_path, make):
    path = tmp_path / "foreign.npz"
    make(path)
    with pytest.raises(ResultFileError, match=r"foreign\.npz: (no saved result|not a result)"):
        load_results(path)


def test_what_is_no_file_is_one_clear_error(tmp_path):
    with pytest.raises(ResultFileError, match="no such file"):
        load_results(tmp_path / "missing.npz")
    with pytest.raises(ResultFileError, match="found a directory"):
        load_results(tmp_path)
    os.mkfifo(tmp_path / "pipe.npz")
    with pytest.raises(ResultFileError, match="no ordinary file"):
        load_results(tmp_path / "pipe.npz")


def test_a_newer_format_says_to_update(saved, tmp_path):
    newer = edited(saved, tmp_path / "newer.npz", lambda meta: meta.update(format=FORMAT + 1, version="9.9"))
    with pytest.raises(ResultFileError, match=r"coolsim 9\.9 in format .*Update coolsim"):
        load_results(newer)


def test_an_older_format_is_run_again_from_its_scenarios_and_says_so(saved, tmp_path):
    def aged(meta):
        meta.update(format=1, version="0.1.0")
        for run in meta["runs"]:
            # What is there of the result is not looked at.
            run["result"] = {"of": "another time"}

    older = edited(saved, tmp_path / "older.npz", aged)
    again, whole = load_results(older), load_results(saved)
    assert [scenario for scenario, _ in again] == [scenario for scenario, _ in whole]
    for (_, result), (_, before) in zip(again, whole, strict=True):
        assert result.events == before.events
        assert result.warnings == (
            *before.warnings,
            f"Run again by coolsim {__version__} from the scenario in older.npz: saved by coolsim 0.1.0 in format 1.",
        )


def test_an_older_box_is_run_again_once(tmp_path):
    box = with_overrides(load_scenario(SCENARIOS / "box-2x3.toml"), {"run.refinement": 0.5, "run.tolerance": "1 K"})
    file = save_results(tmp_path / "box.npz", [(box, result) for result in simulate_jars(box.jar)])
    older = edited(file, tmp_path / "older.npz", lambda meta: meta.update(format=FORMAT - 1))
    assert [result.name for _, result in load_results(older)] == [result.name for _, result in load_results(file)]


@pytest.mark.parametrize(
    "change",
    [
        lambda meta: meta.pop("runs"),
        lambda meta: meta["runs"][0].pop("result"),
        lambda meta: meta["runs"][0]["result"].pop("events"),
        lambda meta: meta["runs"][0]["result"]["history"].update(extra=1),
        lambda meta: meta["runs"][0]["result"]["events"].update(rim_set="soon"),
        lambda meta: meta["runs"][0]["result"]["history"].update(rejected=True),
        lambda meta: meta["runs"][0]["result"].update(parts="wax"),
        lambda meta: meta["runs"][0]["result"]["melt"].update(mixing="stirred"),
        lambda meta: meta["runs"][0]["result"]["events"].update(last_liquid=[1.0]),
        lambda meta: meta["runs"][0].update(result=None),
    ],
    ids=["runs", "result", "events", "field", "time", "count", "parts", "word", "pair", "none"],
)
def test_wrong_contents_are_one_clear_error(saved, tmp_path, change):
    with pytest.raises(ResultFileError, match=r"odd\.npz: damaged"):
        load_results(edited(saved, tmp_path / "odd.npz", change))


def test_a_missing_array_is_named(saved, tmp_path):
    with pytest.raises(ResultFileError, match=r"the array of result\.grid\.r_edges is missing"):
        load_results(edited(saved, tmp_path / "odd.npz", lambda meta: None, drop=["a0"]))


def test_a_scenario_that_is_no_longer_accepted_says_why(saved, tmp_path):
    def change(meta):
        meta["runs"][0]["scenario"]["pour"]["temperature"] = "65"

    with pytest.raises(ResultFileError, match="no longer accepted"):
        load_results(edited(saved, tmp_path / "odd.npz", change))


def test_an_empty_list_and_another_suffix_are_refused(runs, tmp_path):
    with pytest.raises(ValueError, match="no run"):
        save_results(tmp_path / "a.npz", [])
    with pytest.raises(ValueError, match=r"ends in '\.npz'"):
        save_results(tmp_path / "a.zip", runs)


def layout(hint):
    """Field names of a dataclass and of all dataclasses in it, by name of the class."""
    if not dataclasses.is_dataclass(hint):
        found = [layout(part) for part in typing.get_args(hint)]
    else:
        hints = typing.get_type_hints(hint)
        names = [field.name for field in dataclasses.fields(hint)]
        found = [{hint.__name__: " ".join(names)}, *(layout(hints[name]) for name in names)]
    return {name: fields for one in found for name, fields in one.items()}


def test_the_layout_of_the_file_does_not_change_without_a_new_format_number():
    # If this fails, raise FORMAT in coolsim.report.saved.store and write the new layout down here.
    assert FORMAT == 7
    assert layout(Result) == {
        "Result": (
            "name grid block parts tables history boundaries nodes melt answers wax events ledger "
            "warnings volume_law surface_set changes held"
        ),
        "Grid": "r_edges z_edges block row column by_column radial_span axial_span covered",
        "EnthalpyTable": (
            "solidus liquidus base temperature temperature_slope liquid liquid_slope potential potential_slope"
        ),
        "History": (
            "time enthalpy surface nodes owed owed_over gaps room lost to_nodes carried released rejected newton "
            "ended given_before"
        ),
        "Melt": "mixing relaxation flows_above softness conductivity_factor",
        "Softness": "stiffness exponent gels_at suction sure_within",
        "Thresholds": (
            "touch touch_depth wick carry cool_within skin_margin flat_within pit_from void_shows cavity_from"
        ),
        "WaxBody": "cells r z r_edges z_edges bottom volume table",
        "Events": (
            "rim_set wick_free_until top_closed fully_set top_final solid_throughout cool first_skin last_liquid"
        ),
        "Skin": "formed coldest coldest_at melted_again warmest rim_warmest",
        "Ledger": "given_off to_room open_share by_path",
        "Held": "name top temperature",
        "VolumeLaw": "reference expansion_liquid solid expansion_solid",
    }
