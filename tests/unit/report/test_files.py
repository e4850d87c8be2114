import errno
import os
import pickle

import pytest

from coolsim.errors import OutputError
from coolsim.report import whole_file as files
from coolsim.report.whole_file import write_bytes, write_text


def names(folder):
    return sorted(entry.name for entry in folder.iterdir())


def failing(code):
    def fail(*args, **kwargs):
        raise OSError(code, os.strerror(code))

    return fail


def test_a_file_is_written_whole_and_replaces_the_old_one(tmp_path):
    target = tmp_path / "a.csv"
    target.write_bytes(b"old and longer")
    assert write_bytes(target, b"new") == target
    assert target.read_bytes() == b"new"
    assert names(tmp_path) == ["a.csv"]


def test_the_temporary_file_stands_in_the_same_folder(tmp_path, monkeypatch):
    # A rename across file systems is not possible, or not in one step.
    renamed = []
    replace = files.os.replace
    monkeypatch.setattr(files.os, "replace", lambda old, new: (renamed.append((old, new)), replace(old, new)))
    write_bytes(tmp_path / "a", b"new")
    ((old, new),) = renamed
    assert os.path.dirname(old) == os.path.dirname(new) == str(tmp_path)


def test_text_is_utf_8_with_its_line_ends_as_they_are(tmp_path):
    write_text(tmp_path / "a.csv", "°C\r\n1\r\n")
    assert (tmp_path / "a.csv").read_bytes() == "°C\r\n1\r\n".encode()


@pytest.mark.parametrize(
    ("code", "told"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EROFS, "the file system is read-only"),
        (errno.EACCES, "no permission"),
        (errno.EDQUOT, "quota"),
        (errno.EIO, os.strerror(errno.EIO)),
    ],
)
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_while_writing_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch, code, told, step):
    target = tmp_path / "a.npz"
    target.write_bytes(b"old")
    monkeypatch.setattr(files.os, step, failing(code))
    with pytest.raises(OutputError, match=told) as caught:
        write_bytes(target, b"new")
    assert str(target) in str(caught.value)
    assert target.read_bytes() == b"old"
    assert names(tmp_path) == ["a.npz"]


def test_an_interrupt_while_writing_leaves_nothing_behind(tmp_path, monkeypatch):
    def interrupt(*args):
        raise KeyboardInterrupt

    monkeypatch.setattr(files.os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_bytes(tmp_path / "a.npz", b"new")
    assert names(tmp_path) == []


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("missing/a.png", "no such folder.*Create the folder"),
        (".", "is a directory"),
        ("file/a.png", "is a file, not a folder"),
        ("x" * 300, "too long"),
        ("a\0.png", "not a possible name"),
    ],
)
def test_a_path_that_cannot_be_written_says_what_and_what_to_do(tmp_path, path, told):
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match=told):
        write_bytes(tmp_path / path, b"new")
    assert names(tmp_path) == ["file"]


def test_a_folder_without_permission_says_so(tmp_path, monkeypatch):
    # Permissions do not stop root, who runs the tests in some places: the refusal is played.
    def refused(**_):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr("tempfile.mkstemp", refused)
    with pytest.raises(OutputError, match="no permission"):
        write_bytes(tmp_path / "a.png", b"new")
    assert names(tmp_path) == []


@pytest.mark.skipif(os.name != "posix", reason="POSIX permissions")
def test_permissions_are_those_of_the_old_file_or_of_any_new_one(tmp_path):
    target, plain = tmp_path / "a", tmp_path / "plain"
    plain.write_bytes(b"")
    write_bytes(target, b"new")
    assert target.stat().st_mode == plain.stat().st_mode
    target.chmod(0o640)
    write_bytes(target, b"newer")
    assert target.stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(tmp_path):
    target, link = tmp_path / "a", tmp_path / "link"
    target.write_bytes(b"old")
    link.symlink_to(target)
    write_bytes(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


def test_the_error_comes_back_whole_from_a_worker_process():
    error = OutputError("a.png: cannot be written: the disk is full.")
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is OutputError
    assert str(again) == str(error)
