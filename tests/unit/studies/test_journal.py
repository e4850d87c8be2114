"""The journal of a sweep: whole lines or none, whatever happens to the disk or the process."""

import errno
import json
import os

import pytest

from coolsim.errors import OutputError, ResultFileError
from coolsim.studies import journal as module
from coolsim.studies.journal import Journal


def filled(path, *names):
    with Journal(path) as journal:
        for name in names:
            journal.add(name, {"set_s": 1.0})
    return path


def test_what_was_added_is_there_when_it_is_opened_again(tmp_path):
    path = filled(tmp_path / "j.jsonl", "a", "b")
    assert Journal(path).done == {"a": {"set_s": 1.0}, "b": {"set_s": 1.0}}
    assert all(json.loads(line) for line in path.read_text().splitlines())


def test_no_file_is_made_before_something_is_found(tmp_path):
    filled(tmp_path / "j.jsonl")
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("cut", [1, 2, 10, 35])
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
    with pytest.raises(ResultFileError, match="no record of a sweep"):
        Journal(path)
    assert path.read_text() == content


def test_a_folder_or_a_device_is_refused(tmp_path):
    for path in (tmp_path, module.Path(os.devnull)):
        with pytest.raises(OutputError, match="no ordinary file"):
            Journal(path)


def test_a_full_disk_leaves_whole_lines_and_says_what_to_do(tmp_path, monkeypatch):
    path = tmp_path / "j.jsonl"
    write = os.write

    with Journal(path) as journal:
        journal.add("a", {"set_s": 1.0})
        monkeypatch.setattr(module.os, "write", lambda handle, content: _half(write, handle, content))
        with pytest.raises(OutputError, match=r"the disk is full\. 1 finished point is kept"):
            journal.add("b", {"set_s": 2.0})
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
            journal.add(name, {"set_s": 1.0})
        journal.add("d", {"set_s": 1.0})
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
