"""A saved result in which anything was changed is refused when it is loaded, or can be told as it stands."""

import io
import json
import struct
import zipfile

import numpy as np
import pytest

from coolsim.errors import ResultFileError
from coolsim.report.saved import archive as store_archive
from coolsim.report.saved import store
from coolsim.report.saved.store import load_results, save_results
from coolsim.report.text.curves import curves_csv
from coolsim.report.text.runs import answers_table
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate


def at_middle(array, value):
    changed = array.copy()
    changed.flat[array.size // 2] = value
    return changed


CHANGES = {
    "left out": lambda array: None,
    "transposed": lambda array: array.T,
    "half precision": lambda array: array.astype(np.float32 if array.dtype.kind == "f" else np.int32),
    "other kind": lambda array: array.astype(np.int64 if array.dtype.kind == "f" else float),
    "a NaN": lambda array: at_middle(array.astype(float), np.nan),
    "infinite": lambda array: at_middle(array.astype(float), np.inf),
    "reversed": lambda array: array[::-1],
    "mirrored": lambda array: array[:, ::-1] if array.ndim > 1 else array,
    "cut": lambda array: array[:-1],
    "objects": lambda array: array.astype(object),
}

# Finite values in the right shape that nothing contradicts and no table or figure reads.
HARMLESS = {("history.surface", "reversed"), ("history.surface", "mirrored"), ("history.owed_over", "reversed")}


@pytest.fixture(scope="module")
def one(runs, tmp_path_factory):
    """A saved run: its arrays, what each of them is, and a place for changed ones."""
    path = save_results(tmp_path_factory.mktemp("changes") / "one.npz", runs[:1])
    with np.load(path) as archive:
        arrays = {name: archive[name] for name in archive.files}
    called = {}

    def name(raw, where):
        if isinstance(raw, str) and raw in arrays:
            called[raw] = where
        for key, value in raw.items() if isinstance(raw, dict) else enumerate(raw) if isinstance(raw, list) else ():
            name(value, f"{where}.{key}" if where else f"{key}")

    name(json.loads(str(arrays["meta"]))["runs"][0]["result"], "")
    return arrays, called, path.with_name("changed.npz")


def written(path, arrays):
    np.savez(path, **arrays)
    return path


def changed(one, array, change):
    """The file with one array changed, or None if the change leaves it as it is."""
    arrays, _, path = one
    before = arrays[array]
    with np.errstate(invalid="ignore"):
        after = CHANGES[change](before) if before.size or change in ("left out", "objects") else before
    others = {name: value for name, value in arrays.items() if name != array}
    if after is None:
        return written(path, others)
    if after.dtype == before.dtype and np.array_equal(after, before, equal_nan=before.dtype.kind == "f"):
        return None
    return written(path, {**others, array: after})


@pytest.mark.parametrize("change", CHANGES)
def test_each_array_with_a_change_is_refused_or_told(one, change):
    refused = 0
    for array, called in one[1].items():
        path = changed(one, array, change)
        if path is None:
            continue
        if (called, change) in HARMLESS:
            ((scenario, result),) = load_results(path)
            assert curves_csv(result, points=scenario.probes)
            assert answers_table([(scenario.title, result)])
            continue
        with pytest.raises(ResultFileError, match=r"Save it again with `coolsim run`\.$") as caught:
            load_results(path)
        # numpy's own advice would let the file run Python.
        assert "pickle" not in str(caught.value), called
        refused += 1
    assert refused > 2


def test_what_is_not_there_in_a_part_of_a_day_may_be_missing_in_that_whole_part_only(runs, tmp_path):
    boxed = with_overrides(runs[1][0], {"day.changes": [["2 h", "out of the box"]]})
    result = simulate(boxed.jar)
    ((_, loaded),) = load_results(save_results(tmp_path / "day.npz", [(boxed, result)]))
    assert np.isnan(loaded.history.nodes).any()
    assert np.array_equal(loaded.history.nodes, result.history.nodes, equal_nan=True)
    nodes = result.history.nodes
    kept = nodes[1, 0]
    nodes[1, 0] = np.nan
    save_results(tmp_path / "odd.npz", [(boxed, result)])
    nodes[1, 0] = kept
    with pytest.raises(ResultFileError, match=r"result\.history\.nodes has gaps that are not those of a day"):
        load_results(tmp_path / "odd.npz")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda meta: meta.update(runs=[]), "it holds no run"),
        (lambda meta: meta["runs"][0].update(where=3), "where that is from"),
        (lambda meta: meta["runs"][0]["result"]["events"].update(cool=1e9), "events are outside of the run"),
        (lambda meta: meta["runs"][0]["result"]["events"].update(cool="nan"), "cool is nan"),
        (lambda meta: meta["runs"][0]["result"]["events"].update(fully_set=60.0), "does not fit the event 'fully_set'"),
        (lambda meta: meta["runs"][0]["result"]["history"].update(newton=10**4000), "a very large number"),
        (lambda meta: meta["runs"][0]["result"].update(name="\ud800"), "surrogates not allowed"),
        (lambda meta: meta["runs"][0]["result"]["ledger"].update(by_path=[]), "does not have top, side and base"),
        (lambda meta: meta["runs"].append(meta["runs"][0]), "is missing"),
    ],
)
def test_numbers_and_texts_that_do_not_fit_are_refused(one, change, says):
    arrays, _, path = one
    meta = json.loads(str(arrays["meta"]))
    change(meta)
    with pytest.raises(ResultFileError, match=says):
        load_results(written(path, {**arrays, "meta": np.array(json.dumps(meta))}))


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        '{"program": "coolsim", "format": 4, "runs": ' + '{"a":' * 100_000,
        '{"program": "coolsim", "format": NaN}',
        "9" * 5000,
    ],
    ids=["lists", "tables", "NaN", "digits"],
)
def test_a_text_that_python_cannot_read_is_no_result(tmp_path, text):
    with pytest.raises(ResultFileError, match="not a result that coolsim saved"):
        load_results(written(tmp_path / "odd.npz", {"meta": np.array(text)}))


def raw(path, members, **how):
    with zipfile.ZipFile(path, "w", **how) as archive:
        for name, content in members:
            archive.writestr(name, content)
    return path


def array_bytes(array):
    content = io.BytesIO()
    np.save(content, array)
    return content.getvalue()


def with_heading(text, body=b""):
    text = text.encode() + b"\n"
    return b"\x93NUMPY\x01\x00" + len(text).to_bytes(2, "little") + text + body


HEADINGS = {
    "nested": with_heading("(" * 5000),
    "a sum": with_heading("{'descr': '<f8', 'fortran_order': False, 'shape': (1+1,), }", bytes(16)),
    "larger": with_heading("{'descr': '<f8', 'fortran_order': False, 'shape': (1000000, 1000000), }", bytes(16)),
    "smaller": with_heading("{'descr': '<f8', 'fortran_order': False, 'shape': (1,), }", bytes(16)),
    "no kind": with_heading("{'descr': '<f7', 'fortran_order': False, 'shape': (1,), }", bytes(7)),
    "no size": with_heading("{'descr': '<U0', 'fortran_order': False, 'shape': (1,), }"),
    "dimensions": with_heading("{'descr': '<f8', 'fortran_order': False, 'shape': (1, 1, 1, 1, 1), }", bytes(8)),
    "cut": with_heading("{'descr': '<f8'")[:20],
    "no letters": with_heading("{'descr': '<U1', 'fortran_order': False, 'shape': (), }", b"\xff" * 4),
}


@pytest.mark.parametrize("heading", HEADINGS)
def test_a_broken_heading_of_an_array_is_one_clear_error(tmp_path, heading):
    with pytest.raises(ResultFileError, match=r"odd\.npz: no(t a| saved) result"):
        load_results(raw(tmp_path / "odd.npz", [("meta.npy", HEADINGS[heading])]))


def test_a_packed_file_is_refused_before_it_is_unpacked(tmp_path, monkeypatch):
    path = tmp_path / "bomb.npz"
    np.savez_compressed(path, meta=np.zeros(10_000_000))
    monkeypatch.setattr(zipfile.ZipFile, "read", lambda *_: pytest.fail("something was unpacked"))
    with pytest.raises(ResultFileError, match="its arrays are larger than the file"):
        load_results(path)


def test_a_packed_array_is_refused_even_where_it_is_small(tmp_path):
    path = raw(tmp_path / "packed.npz", [("meta.npy", bytes(range(256)))], compression=zipfile.ZIP_DEFLATED)
    with pytest.raises(ResultFileError, match=r"meta\.npy is packed"):
        load_results(path)


def test_too_many_arrays_are_refused_before_their_list_is_read(tmp_path, monkeypatch):
    path = raw(tmp_path / "many.npz", [(f"a{number}.npy", b"") for number in range(11)])
    monkeypatch.setattr(store_archive, "_MOST_ARRAYS", 10)
    monkeypatch.setattr(store_archive.zipfile, "ZipFile", lambda *_: pytest.fail("the list was read"))
    with pytest.raises(ResultFileError, match="more than 10 arrays"):
        load_results(path)


def test_a_second_list_for_many_arrays_is_refused(tmp_path):
    path = raw(tmp_path / "second.npz", [("meta.npy", array_bytes(np.zeros(3)))])
    content = path.read_bytes()
    locator = struct.pack("<4sLQL", b"PK\x06\x07", 0, 0, 1)
    path.write_bytes(content[:-22] + locator + content[-22:])
    with pytest.raises(ResultFileError, match="more than"):
        load_results(path)


def test_a_name_that_comes_twice_is_refused(tmp_path):
    with pytest.warns(UserWarning, match="Duplicate name"):
        path = raw(tmp_path / "twice.npz", [("meta.npy", array_bytes(np.zeros(3)))] * 2)
    with pytest.raises(ResultFileError, match="a name comes twice"):
        load_results(path)


def test_too_large_a_file_is_neither_read_nor_written(runs, one, tmp_path, monkeypatch):
    path = save_results(tmp_path / "large.npz", runs)
    monkeypatch.setattr(store_archive, "LARGEST_FILE", 1_000_000)
    with pytest.raises(ResultFileError, match="larger than 1 MB"):
        load_results(path)
    monkeypatch.setattr(store, "LARGEST_FILE", 1_000_000)
    with pytest.raises(store.OutputError, match=r"1 MB are read again\. Save fewer runs"):
        save_results(tmp_path / "never.npz", runs)
    assert not (tmp_path / "never.npz").exists()


def test_too_long_a_text_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(store_archive, "_LONGEST_TEXT", 100)
    with pytest.raises(ResultFileError, match="too long a text"):
        load_results(written(tmp_path / "odd.npz", {"meta": np.array("x" * 26)}))
