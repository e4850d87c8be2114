"""The journal of a sweep: whole lines or none, whatever happens to the disk or the process."""

import errno
import json
import os

import pytest

from coolsim.answers.catalogue import BY_KEY
from coolsim.errors import OutputError, ResultFileError
from coolsim.studies.sweep import journal as module
from coolsim.studies.sweep.journal import Journal

# Any answers of the right kinds.
FOUND = {
    name: {"ledger_closed": True, "ended": "cool", "warnings": None, "last_jar": None}.get(name, 1.0) for name in BY_KEY
}


def filled(path, *names):
    with Journal(path) as journal:
        for name in names:
            journal.add(name, FOUND)
    return path


def test_what_was_added_is_there_when_it_is_opened_again(tmp_path):
    path = filled(tmp_path / "j.jsonl", "a", "b")
    assert Journal(path).done == {"a": FOUND, "b": FOUND}
    assert all(json.loads(line) for line in path.read_text().splitlines())


def test_no_file_is_made_before_something_is_found(tmp_path):
    filled(tmp_path / "j.jsonl")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("cut", [1, 2, 10, 35, 500])
def test_a_torn_last_line_is_dropped_and_the_next_is_not_glued_to_it(tmp_path, cut):
    path = filled(tmp_path / "j.jsonl", "a", "b")
    path.write_bytes(path.read_bytes()[:-cut])
    assert set(Journal(path).done) == {"a"}
    filled(path, "c")
    assert set(Journal(path).done) == {"a", "c"}
    assert path.read_bytes().count(b"\n") == 2


@pytest.mark.parametrize("content", ['title = "mine"\n', "{}\n", '{"point": 1}\n', "[1]\n", 'title = "mine"'])
def test_another_file_is_refused_and_left_as_it_is(tmp_path, content):
    path = tmp_path / "jar.toml"
    path.write_text(content)
    with pytest.raises(ResultFileError, match="not a record of a sweep"):
        Journal(path)
    assert path.read_text() == content


WRONG = {
    "empty": b"",
    "text": b"title = 'mine'",
    "other keys": b'{"point": "b", "found": {}}',
    "nested": b"[" * 50_000,
    "not UTF-8": b'{"point": "\xff", "answers": {}}',
    "long": json.dumps({"point": "b", "answers": FOUND | {"warnings": "x" * 200_000}}).encode(),
    "long name": json.dumps({"point": "b" * 101, "answers": FOUND}).encode(),
    "name": json.dumps({"point": ["b"], "answers": FOUND}).encode(),
    "a list": b'{"point": "b", "answers": [1, 2]}',
    "NaN": json.dumps({"point": "b", "answers": FOUND | {"cool_s": float("nan")}}).encode(),
    "digits": b'{"point": "b", "answers": ' + b"9" * 5000 + b"}",
    **{
        f"{name}={value!r}": json.dumps({"point": "b", "answers": FOUND | {name: value}}).encode()
        for name, value in [
            ("cool_s", "soon"), ("cool_s", True), ("cool_s", [1.0]), ("cool_s", 1e13), ("cool_s", 10**400),
            ("pour_C", None), ("ledger_closed", 1.0), ("ledger_closed", None), ("ended", 3.0), ("ended", None),
            ("warnings", 1.0), ("warnings", "\x1b[2J"), ("warnings", "\ud800"), ("more_m", 1.0),
        ]
    },
    **{
        f"without {name}": json.dumps(
            {"point": "b", "answers": {key: value for key, value in FOUND.items() if key != name}}
        ).encode()
        for name in ("pour_C", "warnings")
    },
    "1e999": json.dumps({"point": "b", "answers": FOUND}).replace("1.0", "1e999", 1).encode(),
}  # fmt: skip


@pytest.mark.parametrize("wrong", WRONG)
def test_a_wrong_line_is_passed_over_and_left_as_it_is(tmp_path, wrong):
    path = filled(tmp_path / "j.jsonl", "a")
    before = path.read_bytes() + WRONG[wrong] + b"\n"
    path.write_bytes(before)
    with Journal(path) as journal:
        assert (journal.done, journal.passed_over) == ({"a": FOUND}, (2,))
        journal.add("c", FOUND)
    assert path.read_bytes().startswith(before)
    again = Journal(path)
    assert (set(again.done), again.passed_over) == ({"a", "c"}, (2,))
    again.asked.update("ac")
    again.remove()
    assert path.exists()


def test_a_whole_number_in_a_line_is_a_number_and_what_may_lack_may_be_none(tmp_path):
    path = filled(tmp_path / "j.jsonl", "a")
    path.write_text(
        path.read_text().replace('"cool_s": 1.0', '"cool_s": 7200').replace('"fully_set_s": 1.0', '"fully_set_s": null')
    )
    answers = Journal(path).done["a"]
    assert isinstance(answers["cool_s"], float)
    assert (answers["cool_s"], answers["fully_set_s"]) == (7200.0, None)


def test_too_large_a_journal_is_refused_and_left_as_it_is(tmp_path, monkeypatch):
    path = filled(tmp_path / "j.jsonl", "a")
    before = path.read_bytes()
    monkeypatch.setattr(module, "_LARGEST_FILE", 100)
    with pytest.raises(ResultFileError, match="and the file is left as it is"):
        Journal(path)
    assert path.read_bytes() == before


def test_a_folder_or_a_device_is_refused(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path, tmp_path / "pipe", module.Path(os.devnull)):
        with pytest.raises(OutputError, match="no ordinary file"):
            Journal(path)


def test_a_full_disk_leaves_whole_lines_and_says_what_to_do(tmp_path, monkeypatch):
    path = tmp_path / "j.jsonl"
    write = os.write

    with Journal(path) as journal:
        journal.add("a", FOUND)
        monkeypatch.setattr(module.os, "write", lambda handle, content: _half(write, handle, content))
        with pytest.raises(OutputError, match=r"the disk is full\. 1 finished point is kept"):
            journal.add("b", FOUND)
        monkeypatch.undo()
    assert path.read_bytes().endswith(b"}\n")
    assert set(Journal(path).done) == {"a"}


def _half(write, handle, content):
    """Write twenty bytes, and no more the next time."""
    if content.startswith(b'{"point"'):
        return write(handle, content[:20])
    raise OSError(errno.ENOSPC, "No space left on device")


def test_lines_are_forced_onto_the_disk_at_the_first_after_a_second_and_at_the_end(tmp_path, monkeypatch):
    now, forced = [100.0], []
    monkeypatch.setattr(module.time, "monotonic", lambda: now[0])
    monkeypatch.setattr(module.os, "fsync", lambda handle: forced.append(os.fstat(handle).st_size))
    path = tmp_path / "j.jsonl"
    with Journal(path) as journal:
        for name, passed in (("a", 0.0), ("b", 0.5), ("c", 0.6)):
            now[0] += passed
            journal.add(name, FOUND)
        journal.add("d", FOUND)
    line = path.stat().st_size // 4
    assert forced == [line, 3 * line, 4 * line]


def test_removing_spares_the_points_of_another_sweep(tmp_path):
    path = filled(tmp_path / "j.jsonl", "a", "of another sweep")
    journal = Journal(path)
    journal.asked.add("a")
    journal.remove()
    assert path.exists()
    journal.asked.add("of another sweep")
    journal.remove()
    assert not path.exists()
