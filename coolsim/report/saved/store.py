"""Whole results in one file, so that every table and figure can be drawn again without running.

The file is a NumPy archive (``.npz``, not compressed: packing doubles saves an eighth of the 3 MB of a run and takes as
long as the run) of plain arrays and one text, ``meta``, in JSON: format number,
version of coolsim, and for each run the scenario as it was read and the result field by field. Arrays are kept in
double precision, so nothing is lost: a table, a figure or an event of a loaded result equals the first one to the last
bit. Single precision would halve the file and move the isochrones by microseconds, but no longer give equal figures.
"""

from __future__ import annotations

import dataclasses
import io
import json
import math
import struct
import types
import typing
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from coolsim._version import __version__
from coolsim.errors import OutputError, ResultFileError, ScenarioError
from coolsim.report.saved.archive import LARGEST_FILE, read_arrays
from coolsim.report.saved.rules import check_result
from coolsim.report.whole_file import write_bytes
from coolsim.scenario import Scenario, scenario_from_data
from coolsim.scenario.given_file import check_ordinary
from coolsim.scenario.nearby import nearby
from coolsim.scenario.wording import shown
from coolsim.solve.curves import temperature_of_point
from coolsim.solve.result import Result
from coolsim.solve.together import simulate_jars

FORMAT = 7
"""Number of the layout of the file; it goes up when a field of `Result` or of its parts comes, goes or changes."""

SUFFIX = ".npz"
"""End of the name of such a file."""

_PROGRAM = "coolsim"
_META = "meta"
_WORDS = {"inf": math.inf, "-inf": -math.inf, "nan": math.nan}
_LARGEST_WHOLE = 2**53
_LONGEST_VERSION = 40
# What zipfile raises on a broken archive, beside what read_arrays says itself; numpy has TypeError for a dtype.
_UNREADABLE = (
    ValueError, TypeError, OSError, EOFError, KeyError, zipfile.BadZipFile, NotImplementedError, RuntimeError,
    OverflowError, struct.error,
)  # fmt: skip


def save_results(path: Path | str, runs: Sequence[tuple[Scenario, Result]]) -> Path:
    """Save scenarios and their results in one file.

    Parameters
    ----------
    path : Path or str
        Where to, ending in ``.npz``; an existing file is replaced.
    runs : sequence of (Scenario, Result)
        At least one run.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    ValueError
        If there is no run, or the name ends otherwise.
    OutputError
        If the file cannot be written.

    Examples
    --------
    >>> from coolsim import built_in_pair, save_results, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     save_results(f"{folder}/bare.npz", [(quick, simulate(quick.jar))]).name
    'bare.npz'
    """
    if not runs:
        raise ValueError("there is no run to save")
    if Path(path).suffix.lower() != SUFFIX:
        raise ValueError(f"{path}: the name of a saved result ends in '{SUFFIX}'")
    arrays: dict[str, Any] = {}
    meta = {
        "program": _PROGRAM,
        "format": FORMAT,
        "version": __version__,
        "runs": [
            {"where": scenario.where, "scenario": scenario.data, "result": _plain(result, arrays)}
            for scenario, result in runs
        ],
    }
    content = io.BytesIO()
    text = np.array(json.dumps(meta, allow_nan=False, ensure_ascii=False))
    # Names are keywords of savez and must not be its own; numpy before 2.1 saves `allow_pickle` as one more array.
    named: dict[str, Any] = {_META: text, **arrays}
    np.savez(content, **named)
    if content.tell() > LARGEST_FILE:
        raise OutputError(
            f"{path}: cannot be written: {content.tell() / 1e6:.0f} MB of results, and {LARGEST_FILE // 1_000_000} MB"
            " are read again. Save fewer runs in one file."
        )
    return write_bytes(path, content.getvalue())


def load_results(path: Path | str) -> list[tuple[Scenario, Result]]:
    """Load what `save_results` has saved.

    Parameters
    ----------
    path : Path or str
        The file.

    Returns
    -------
    list of (Scenario, Result)
        The runs, in the same order.

    Raises
    ------
    ResultFileError
        If there is no such file, or it cannot be read, is damaged, comes from elsewhere, or from a newer version of
        coolsim.
    SolverError
        If a run of an older file cannot be finished.

    Notes
    -----
    The scenarios of a file in an older format are run again; a warning of each result says so.

    Examples
    --------
    >>> from coolsim import built_in_pair, load_results, save_results, simulate, with_overrides
    >>> quick = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"})
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = save_results(f"{folder}/bare.npz", [(quick, simulate(quick.jar))])
    ...     ((scenario, result),) = load_results(file)
    >>> scenario == quick, result.ended
    (True, 'cool')
    """
    _check_file(Path(path))
    try:
        arrays = read_arrays(Path(path))
    except _UNREADABLE as error:
        raise ResultFileError(
            f"{path}: no saved result, or a damaged one ({error}). Save it again with `coolsim run`."
        ) from error
    meta = _meta(path, arrays)
    if meta["format"] != FORMAT:
        return _run_again(path, meta)
    try:
        runs = [_run(path, run, arrays) for run in meta["runs"]]
        if arrays or not runs:
            raise ValueError("it holds arrays of no run" if runs else "it holds no run")
        return runs
    except (KeyError, TypeError, ValueError, AttributeError, ArithmeticError, RecursionError) as error:
        if isinstance(error, ResultFileError):
            raise
        raise ResultFileError(f"{path}: damaged: {error}. Save it again with `coolsim run`.") from error


def _check_file(path: Path) -> None:
    try:
        check_ordinary(path)
    except FileNotFoundError:
        hint = nearby(path, ending=".npz", otherwise="Save one with `coolsim run FILE.toml --save NAME.npz`.")
        raise ResultFileError(f"{path}: no such file. {hint}") from None
    except IsADirectoryError:
        raise ResultFileError(f"{path}: found a directory. Give a saved result in it.") from None
    except PermissionError:
        raise ResultFileError(f"{path}: no permission to read it. Change its permissions.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ResultFileError(f"{path}: cannot be read ({reason}). Give a saved result.") from error


def _no_number(word: str) -> typing.NoReturn:
    raise ValueError(f"{word} is no number of JSON")


def _meta(path: Path | str, arrays: dict[str, np.ndarray]) -> dict[str, Any]:
    text = arrays.pop(_META, None)
    try:
        meta = json.loads(str(text), parse_constant=_no_number) if text is not None and text.shape == () else None
    except (ValueError, RecursionError):
        meta = None
    if not isinstance(meta, dict) or meta.get("program") != _PROGRAM:
        raise ResultFileError(f"{path}: not a result that coolsim saved. Give one, or run the scenario.")
    found = meta.get("format")
    if type(found) is not int or not 0 < found <= FORMAT:
        raise ResultFileError(
            f"{path}: saved by {_saved_by(meta)}; coolsim {__version__} reads format {FORMAT} and older ones. Update"
            " coolsim."
        )
    return meta


def _saved_by(meta: Mapping[str, Any]) -> str:
    version, found = (str(meta.get(name))[:_LONGEST_VERSION] for name in ("version", "format"))
    return f"coolsim {version} in format {found}"


def _run_again(path: Path | str, meta: Mapping[str, Any]) -> list[tuple[Scenario, Result]]:
    """Run the scenarios of a file in an older format: what it holds of their results is no longer all there is."""
    note = f"Run again by coolsim {__version__} from the scenario in {Path(path).name}: saved by {_saved_by(meta)}."
    runs: list[tuple[Scenario, Result]] = []
    try:
        saved = [(one["where"], one["scenario"]) for one in meta["runs"]]
        if not saved or not all(isinstance(where, str) for where, _ in saved):
            raise ValueError("it holds no run")
    except (KeyError, TypeError, ValueError) as error:
        raise ResultFileError(f"{path}: damaged: {error}. Save it again with `coolsim run`.") from error
    while len(runs) < len(saved):
        # The jars of a box stand behind each other, each kind of place with the scenario of all.
        scenario = _scenario(path, *saved[len(runs)])
        for result in simulate_jars(scenario.jar):
            runs.append((scenario, dataclasses.replace(result, warnings=(*result.warnings, note))))
    return runs


def _scenario(path: Path | str, where: str, data: Mapping[str, Any]) -> Scenario:
    try:
        return scenario_from_data(data, where=where)
    except ScenarioError as error:
        raise ResultFileError(
            f"{path}: its scenario is no longer accepted by coolsim {__version__}:\n{error}\n"
            "Correct the scenario and run it again."
        ) from error


def _run(path: Path | str, run: Mapping[str, Any], arrays: dict[str, np.ndarray]) -> tuple[Scenario, Result]:
    result: Result = _built(Result, run["result"], arrays, "result")
    check_result(result)
    if set(run) != {"where", "scenario", "result"} or not isinstance(run["where"], str):
        raise ValueError("a run does not have a scenario, where that is from, and a result")
    scenario = _scenario(path, run["where"], run["scenario"])
    for place in scenario.probes.values():
        # A probe outside of what was run is a ValueError here, and not in the middle of a figure.
        temperature_of_point(result, *place)
    return scenario, result


def _plain(value: Any, arrays: dict[str, np.ndarray]) -> Any:
    """JSON for a value; arrays are put aside and leave their name."""
    if dataclasses.is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name), arrays) for field in dataclasses.fields(value)}
    if isinstance(value, np.ndarray):
        name = f"a{len(arrays)}"
        arrays[name] = value
        return name
    if isinstance(value, tuple):
        return [_plain(item, arrays) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return str(float(value))
    # numpy's own scalars are no JSON.
    return value.item() if isinstance(value, np.generic) else value


def _built(hint: Any, raw: Any, arrays: dict[str, np.ndarray], where: str) -> Any:
    """Rebuild a value of the given type and take its arrays out; ValueError if the data are not of it."""
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        hints = typing.get_type_hints(hint)
        names = [field.name for field in dataclasses.fields(hint)]
        if not isinstance(raw, dict) or set(raw) != set(names):
            raise ValueError(f"{where} does not have the fields of {hint.__name__}")
        return hint(**{name: _built(hints[name], raw[name], arrays, f"{where}.{name}") for name in names})
    origin, parts = typing.get_origin(hint), typing.get_args(hint)
    if origin is np.ndarray:
        if raw not in arrays:
            raise ValueError(f"the array of {where} is missing")
        return arrays.pop(raw)
    if origin in (typing.Union, types.UnionType):
        (part,) = (part for part in parts if part is not type(None))
        return None if raw is None else _built(part, raw, arrays, where)
    if origin is tuple:
        if not isinstance(raw, list):
            raise ValueError(f"{where} is no list")
        kinds = [parts[0]] * len(raw) if parts[-1] is Ellipsis else list(parts)
        if len(kinds) != len(raw):
            raise ValueError(f"{where} has {len(raw)} entries instead of {len(kinds)}")
        return tuple(_built(kind, item, arrays, where) for kind, item in zip(kinds, raw, strict=True))
    if hint is float and isinstance(raw, str) and raw in _WORDS:
        return _WORDS[raw]
    if origin is typing.Literal:
        right = raw in parts
    else:
        right = isinstance(raw, (int, float) if hint is float else hint) and isinstance(raw, bool) == (hint is bool)
    if not right or (isinstance(raw, int) and abs(raw) > _LARGEST_WHOLE):
        raise ValueError(f"{where} is {shown(raw)}")
    if isinstance(raw, str):
        # Half a surrogate pair, which JSON lets pass, could not be written to any file.
        raw.encode()
    return raw
