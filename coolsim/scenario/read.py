"""Scenarios from files and from data, with all faults of one reported at once."""

from __future__ import annotations

import copy
import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from importlib.resources import files as package_files
from pathlib import Path
from typing import Any, Literal

from coolsim.errors import ScenarioError
from coolsim.model.batch import Batch, Prices, Wick
from coolsim.model.bath import Bath
from coolsim.model.hot_air import HotAir
from coolsim.model.jar import Jar, jar_rows
from coolsim.model.properties import Wax
from coolsim.overview import Overview, OverviewTable
from coolsim.scenario.batch import batch_of
from coolsim.scenario.checks import faults_between
from coolsim.scenario.file import OLD_TABLES, ScenarioFile, missing, missing_keys, read_file
from coolsim.scenario.jar import jar_of
from coolsim.scenario.kept import KeptTables, kept_in, or_kept, unfolded, with_kept
from coolsim.scenario.keys import all_keys, key_of
from coolsim.scenario.melting import bath_of
from coolsim.scenario.plan import Plan, plan_of
from coolsim.scenario.prices import prices_of
from coolsim.scenario.repair import hot_air_of
from coolsim.scenario.table import Fault, TomlTable
from coolsim.scenario.toml_file import parsed, text_of
from coolsim.scenario.wax import plain_wax_of
from coolsim.scenario.wick import wick_of
from coolsim.scenario.wording import INVENTED, key_text, sentence, shown

_MOST_FAULTS = 20
_BUILT_IN = ("tumbler-bare.toml", "tumbler-boxed.toml")


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Scenario(Overview):
    """A scenario, read and checked. A notebook shows it as a table; `print` writes the same as lines.

    Parameters
    ----------
    title : str
        What the report calls it.
    author : str
        Who made it; may be empty.
    date : datetime.date or None
        Day of the start of the batch, or of the pour where no start is stated.
    note : str
        Remarks for the report; may be empty.
    invented : bool
        Whether workshop and figures are made up.
    where : str
        File, or what else it was read from.
    data : dict
        The parsed file with its units, JSON-serialisable; `scenario_from_data` rebuilds the scenario from it.
    jar : Jar
        What one run needs.
    units : {"metric", "us"}
        Units of the report.
    map_times : tuple of float
        Times of the temperature maps [s], none after the horizon; empty for those of the events.
    probes : dict
        Named points (r, z) [m] from the axis and the bottom of the wax; empty for the usual ones.
    pour_limits : dict
        Hottest pour [°C] that the maker of the wax and the fragrance allow, by key of the scenario; only those
        stated.
    pour_clock : float or None
        When the wax is poured, after the midnight before [s], if it is stated.
    batch : Batch or None
        How much is made at once; None if the scenario does not say so.
    wick : Wick
        The wicks of a jar.
    prices : Prices
        What a batch is made of costs, as far as it is stated.
    plan : Plan
        What sheet, day plan and label say.
    hot_air : HotAir
        What is blown on a set top to repair it.
    plain_wax : Wax
        The wax as it is bought, without fragrance.
    bath : Bath
        Pitcher and water bath in which it is melted.
    file : ScenarioFile
        The tables that were read, typed and in SI (°C); `changed` changes them.
    old_words : tuple of str
        What to write instead of words of an earlier version that the file still has, a line each.

    Examples
    --------
    >>> from coolsim import built_in_pair
    >>> bare, boxed = built_in_pair()
    >>> boxed
    <Scenario 'Tumbler, one of six in an open box' from tumbler-boxed.toml>
    >>> print(boxed)
    Tumbler, one of six in an open box
    Vessel         78 mm × 86 mm, glass
    ...
    Box            open, gap 12 mm, headroom 15 mm, board
    Room at        21 °C
    The workshop and its figures are invented.
    """

    title: str
    author: str
    date: datetime.date | None
    note: str
    invented: bool
    where: str
    data: dict[str, Any]
    jar: Jar
    units: Literal["metric", "us"]
    map_times: tuple[float, ...]
    probes: dict[str, tuple[float, float]]
    pour_limits: dict[str, float]
    pour_clock: float | None
    batch: Batch | None = None
    wick: Wick
    prices: Prices
    plan: Plan
    hot_air: HotAir
    plain_wax: Wax
    bath: Bath
    file: ScenarioFile = field(compare=False)
    old_words: tuple[str, ...] = field(default=(), compare=False)

    def __repr__(self) -> str:
        return f"<Scenario {self.title!r} from {self.where}>"

    def overview(self) -> OverviewTable:
        """Return the jar and its surroundings in the units of the workshop, as a notebook shows them."""
        notes = (INVENTED,) if self.invented else ()
        return OverviewTable(title=self.title, rows=jar_rows(self.jar, units=self.units), notes=notes)


def load_scenario(path: Path | str) -> Scenario:
    """Read a scenario file.

    Parameters
    ----------
    path : Path or str
        A TOML file.

    Returns
    -------
    Scenario
        The scenario.

    Raises
    ------
    ScenarioError
        If the file cannot be read or has faults; all of its faults are named.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> from coolsim import load_scenario, starter_text
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder) / "jar.toml"
    ...     _ = file.write_text(starter_text(), encoding="utf-8")
    ...     scenario = load_scenario(file)
    >>> scenario.jar.pour
    60.0
    """
    where = str(path)
    return scenario_from_data(parsed(text_of(Path(path), where), where), where=where)


def scenario_from_data(data: Mapping[str, Any], *, where: str) -> Scenario:
    """Check a scenario that is already parsed.

    Parameters
    ----------
    data : mapping
        Tables and values as a TOML parser returns them; it is not changed.
    where : str
        What messages call it, usually the file.

    Returns
    -------
    Scenario
        The scenario.

    Raises
    ------
    ScenarioError
        If it has faults; all are named.

    Examples
    --------
    >>> from coolsim import built_in_pair, scenario_from_data
    >>> data = built_in_pair()[0].data
    >>> scenario_from_data(data | {"title": "Mine"}, where="my notebook")
    <Scenario 'Mine' from my notebook>
    >>> scenario_from_data(data | {"titel": "Mine"}, where="my notebook")
    Traceback (most recent call last):
        ...
    coolsim.errors.ScenarioError: my notebook: titel: unknown key. Did you mean 'title'?
    """
    if not isinstance(data, Mapping):
        raise ScenarioError(f"{where}: found {shown(data)}. A scenario is a table of tables.")
    old = {name: new for name, new in OLD_TABLES.items() if name in data and new not in data}
    data = {old.get(name, name): value for name, value in data.items()}
    words = tuple(f"{where}: the table [{name}] is called [{new}] now." for name, new in old.items())
    data = with_kept(data, where)
    file, faults, more = read_file(unfolded(data), most=_MOST_FAULTS)
    faults = [(key, f"{message}{or_kept(data, where)}" if key == "wax.kind" else message) for key, message in faults]
    try:
        return replace(_checked(file, faults, data, where, more=more), old_words=words)
    except ScenarioError as error:
        # Faults name the new word.
        raise ScenarioError([*words, *error.faults]) from None


def with_overrides(scenario: Scenario, overrides: Mapping[str, Any]) -> Scenario:
    """Change values of a scenario.

    Parameters
    ----------
    scenario : Scenario
        The scenario; it is not changed.
    overrides : mapping
        Raw values by dotted key, as the file would state them: ``{"pour.temperature": "68 °C"}``. None removes
        the key or table. A value replaces its alternatives: with ``pour.mass`` a ``pour.level`` is dropped.

    Returns
    -------
    Scenario
        The changed scenario, checked again.

    Raises
    ------
    ScenarioError
        If the changed scenario has faults, an unknown key among them.

    Examples
    --------
    >>> from coolsim import built_in_pair, with_overrides
    >>> hotter = with_overrides(built_in_pair()[1], {"pour.temperature": "68 °C", "surround.flaps": "open"})
    >>> hotter.jar.pour, hotter.jar.surround.flaps
    (68.0, 'open')
    """
    data = copy.deepcopy(scenario.data)
    faults = []
    for dotted, value in overrides.items():
        *tables, name = dotted.split(".")
        table: Any = data
        for depth, step in enumerate(tables, start=1):
            table = table.setdefault(step, {})
            if not isinstance(table, dict):
                reached = key_text(tables[:depth])
                faults.append(f"{scenario.where}: {key_text([dotted])}: {reached} is not a table. Name its value.")
                break
        else:
            if value is None:
                table.pop(name, None)
                continue
            for rival in all_keys()[dotted].said.instead if dotted in all_keys() else ():
                table.pop(rival, None)
            table[name] = copy.deepcopy(value)
    if faults:
        raise ScenarioError(faults)
    return scenario_from_data(data, where=scenario.where)


def changed(scenario: Scenario, values: Mapping[str, Any]) -> Scenario:
    """Change values of a scenario in SI (°C), without a text on the way, and check it again.

    Values come by dotted key, whole tables of `Scenario.file` by their name. None takes a key back to its default and a
    table out. A value replaces its alternatives. A ScenarioError names all faults of the changed scenario.

    Examples
    --------
    >>> from coolsim import built_in_pair
    >>> hotter = changed(built_in_pair()[1], {"pour.temperature": 68.0, "surround.flaps": "open"})
    >>> hotter.jar.pour, hotter.jar.surround.flaps, hotter.data["pour"]["temperature"]
    (68.0, 'open', '68 °C')
    """
    kept = kept_in(scenario.data)
    if kept and "wax.kind" in values:
        # The values of the kept wax go with its name.
        scenario, kept = with_overrides(scenario, {"wax.kind": values["wax.kind"]}), {}
    file = scenario.file
    faults: list[Fault] = []
    # By table what changes in it: a copy of a table, and of the file, costs more than what changes in it.
    parts: dict[str, dict[str, Any]] = {}
    for dotted, value in values.items():
        name, _, inner = dotted.partition(".")
        known = None if value is None or isinstance(value, TomlTable) else key_of(dotted)
        beyond = [] if known is None else [(dotted, message) for message in known.beyond(value)]
        faults += beyond
        if beyond:
            continue
        if inner:
            rivals = {} if known is None else dict.fromkeys(known.said.instead)
            parts.setdefault(name, {}).update({**rivals, inner: value})
        else:
            parts.pop(name, None)
            file = file.changed({name: value})
    new = {name: key_of(f"{name}.{next(iter(inside))}").table for name, inside in parts.items()}
    tables = {name: getattr(file, name) or new[name].model_construct() for name in parts}
    file = file.changed({name: table.changed(parts[name]) for name, table in tables.items()})
    touched = dict.fromkeys(dotted.partition(".")[0] for dotted in values)
    if "wax" in touched:
        touched |= dict.fromkeys(table for table in kept if table in KeptTables.model_fields)
    faults += [(name, missing((name,))) for name in missing_keys(file)]
    for name in touched:
        table = file.__dict__.get(name)
        needed = missing_keys(table) if isinstance(table, TomlTable) else ()
        faults += [(f"{name}.{inner}", missing((name, inner))) for inner in needed]
    data = {name: raw for name, raw in scenario.data.items() if name not in touched} | file.written(touched)
    return _checked(file, faults, data, scenario.where)


def _checked(
    file: ScenarioFile, faults: Iterable[Fault], data: Mapping[str, Any], where: str, *, more: int = 0
) -> Scenario:
    """Build the scenario of a file, or name its faults: the first ones, and how many more there are [-]."""
    faults = [*faults, *faults_between(file)]
    if faults:
        more += len(faults[_MOST_FAULTS:])
        told = [sentence(f"{where}: {key}: {message}") for key, message in faults[:_MOST_FAULTS]]
        raise ScenarioError([*told, f"{where}: and {more} more fault{'s' if more > 1 else ''}."] if more else told)
    return _scenario(file, data, where)


def one_jar(scenario: Scenario, *, reason: str) -> Scenario:
    """Refuse a box of several jars with a ScenarioError and the reason, in a sentence; else return the same."""
    if scenario.jar.places is not None:
        raise ScenarioError(
            f"{scenario.where}: places: found {scenario.jar.places.jars} jars in one box. {reason} Leave [places] out"
            " and give surround.gap."
        )
    return scenario


def built_in_pair() -> tuple[Scenario, Scenario]:
    """Return the two scenarios that come with coolsim.

    Returns
    -------
    (Scenario, Scenario)
        A jar on a wooden bench, and the same jar in a cardboard box. The workshop is invented.

    Examples
    --------
    >>> bare, boxed = built_in_pair()
    >>> bare.jar.surround is None, boxed.jar.surround.flaps
    (True, 'open')
    """
    folder = package_files("coolsim.scenario") / "data"
    bare, boxed = (
        scenario_from_data(parsed((folder / name).read_text(encoding="utf-8"), name), where=name) for name in _BUILT_IN
    )
    return bare, boxed


def _scenario(file: ScenarioFile, data: Mapping[str, Any], where: str) -> Scenario:
    limits = file.wax.given("highest_temperature", "fragrance_limit")
    return Scenario(
        title=file.title,
        author=file.author,
        date=file.date,
        note=file.note,
        invented=file.invented,
        where=where,
        data=_plain(data),
        jar=jar_of(file),
        units=file.units,
        map_times=file.report.map_times or (),
        probes=file.report.probes or {},
        pour_limits={f"wax.{name}": limit for name, limit in limits.items() if limit is not None},
        pour_clock=file.pour.clock,
        batch=None if file.batch is None else batch_of(file.batch, file.wax),
        wick=wick_of(file.wick),
        prices=prices_of(file.prices),
        plan=plan_of(file.plan, file.wax),
        hot_air=hot_air_of(file.repair),
        plain_wax=plain_wax_of(file.wax),
        bath=bath_of(file.melting),
        file=file,
    )


def _plain(data: Mapping[str, Any]) -> dict[str, Any]:
    """Copy a scenario; days and times of TOML become texts, which JSON can hold."""
    return {
        name: _plain(value)
        if isinstance(value, Mapping)
        else value.isoformat()
        if isinstance(value, datetime.date | datetime.time)
        else copy.deepcopy(value)
        for name, value in data.items()
    }
