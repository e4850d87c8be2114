"""The arrays of a saved result out of their archive, with every size known before anything is read.

Files of coolsim are archives of whole, unpacked arrays. Nothing else is read: no packed member can grow, no header is
run as Python, and what a header says must be what the archive holds.
"""

from __future__ import annotations

import math
import re
import struct
import zipfile
from pathlib import Path
from typing import BinaryIO

import numpy as np

LARGEST_FILE = 500_000_000
"""Largest file that is read or written [bytes]: a run takes 3 MB, one on cells of a quarter of the size some 100 MB."""

_MOST_ARRAYS = 20_000
_LONGEST_TEXT = 40_000_000  # bytes, four for each letter; a run takes 0.1 MB
_END = struct.Struct("<4s4H2LH")  # the last entry of an archive without a remark: marks, counts, size of the list
_MAGIC = b"\x93NUMPY\x01\x00"
_HEADER = re.compile(
    r"\{'descr': '(?P<kind>[<>|][fiuO]\d{0,2}|[<>]U\d{1,8})', 'fortran_order': (?P<order>True|False),"
    r" 'shape': \((?P<shape>(?:\d{1,12}, ?)*(?:\d{1,12})?)\), \} *\n"
)
_MOST_DIMENSIONS = 4


def read_arrays(path: Path) -> dict[str, np.ndarray]:
    """Read all arrays of an archive by name; ValueError if it holds anything else, or more than a result can."""
    size = path.stat().st_size
    if size > LARGEST_FILE:
        raise ValueError(f"larger than {LARGEST_FILE // 1_000_000} MB")
    with path.open("rb") as file:
        _check_end(file, size)
        with zipfile.ZipFile(file) as archive:
            members = archive.infolist()
            if sum(member.file_size for member in members) > size:
                raise ValueError("its arrays are larger than the file")
            if len({member.filename for member in members}) < len(members):
                raise ValueError("a name comes twice")
            return {member.filename.removesuffix(".npy"): _array(archive, member) for member in members}


def _check_end(file: BinaryIO, size: int) -> None:
    """Look at the end of the archive, so that its list is not read if it is too long."""
    file.seek(max(size - _END.size - 20, 0))
    end = file.read()
    if len(end) < _END.size:
        raise ValueError("too short")
    mark, _, _, _, count, _, _, remark = _END.unpack(end[-_END.size :])
    if mark != b"PK\x05\x06" or remark:
        raise ValueError("its end is missing")
    # A second list of its own kind, for more members than are allowed here.
    if count > _MOST_ARRAYS or end.startswith(b"PK\x06\x07"):
        raise ValueError(f"more than {_MOST_ARRAYS} arrays")
    file.seek(0)


def _array(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> np.ndarray:
    name = member.filename
    if not name.endswith(".npy") or len(name) > 20:
        raise ValueError("it holds something else than arrays")
    if member.compress_type != zipfile.ZIP_STORED:
        raise ValueError(f"{name} is packed")
    content = archive.read(member)
    start = len(_MAGIC) + 2
    length = int.from_bytes(content[len(_MAGIC) : start], "little")
    header = _HEADER.fullmatch(content[start : start + length].decode("latin-1"))
    if not content.startswith(_MAGIC) or header is None:
        raise ValueError(f"the heading of {name} cannot be read")
    kind = header["kind"]
    if kind.endswith("O"):
        raise ValueError(f"{name} holds Python objects")
    shape = tuple(int(part) for part in header["shape"].replace(" ", "").split(",") if part)
    dtype = np.dtype(kind)
    body = content[start + length :]
    if len(shape) > _MOST_DIMENSIONS or math.prod(shape) * dtype.itemsize != len(body):
        raise ValueError(f"the size of {name} is not what its heading says")
    if dtype.kind == "U" and len(body) > _LONGEST_TEXT:
        raise ValueError(f"{name} is too long a text")
    if dtype.kind == "U":
        # numpy would stop with an error of its own on what is no letter.
        body.decode("utf-32-be" if kind.startswith(">") else "utf-32-le")
    # A copy: what is read from bytes cannot be written to, and need not lie where numbers should.
    array: np.ndarray = np.frombuffer(body, dtype).reshape(shape, order="F" if header["order"] == "True" else "C")
    return array.copy(order="K")
