"""Cooling and freezing of soft-wax container candles, axisymmetric in r and z.

Names by task; ``help(coolsim.NAME)`` says what goes in, in which unit, with an example that runs:

- read and change a scenario: `load_scenario`, `scenario_from_data`, `with_overrides`, `built_in_pair`, `starter_text`;
  a `Scenario` holds a `Jar`: `Vessel`, `Wax`, `Support`, `Surround`, `WaterBath`, `Lid`, `Places`, `Room`, `Change`;
  beside it `Batch`, `Prices`, `Wick`, `Bath`, `HotAir`
- look up materials: `catalogue_wax`, `catalogue_inert`, `with_fragrance`; `Inert`
- run: `simulate`, `simulate_many`, `simulate_box` with a `Result` or `BoxResult` of a `Jar` or any `Problem`;
  `sweep_points` and `sweep` for many, on any executor, with a `Sweep`
- ask: `Result.events` (`Events`), `Result.shrinkage`, `Result.temperature_at`; `answers_table`, `answers_data`,
  `curves_csv`
- which pour, how sure, which melt: `choose_pour` (`PourStudy`), `pours_in_most_cases`; `spread` (`Spread`);
  `melt_models` (`MeltModels`), `melt_range`
- mend a top: `repair` (`Repair`, `RepairedTop`)
- a box of jars: `box_answers` (`BoxAnswers`), `box_fillings`, `box_spacings` (`BoxTrial`), `kinds_of`
- the day: `amounts` (`Amounts`), `melt_batch` (`Melting`, `Preparation`), `plan_day` (`DayPlan`), `calendar_text`,
  `label_text`
- draw: `draw_sections`, `draw_set_map`, `draw_fronts`, `draw_cooling_curves`, `draw_heat_shares`, `draw_tops`,
  `draw_top_profiles`, `draw_box`, `draw_freezing`, `draw_melt_models`, `draw_melting`, `draw_repair`, `draw_spread`,
  `draw_batch_sheet`; `save_figure`
- keep: `save_results`, `load_results`
- errors: `CoolsimError`, and of it `ScenarioError`, `MaterialError`, `UnitError`, `SolverError`, `OutputError`,
  `ResultFileError`

Six recipes, on coarse cells to be quick:

>>> from coolsim import built_in_pair, simulate, simulate_many, sweep, sweep_points, with_overrides
>>> coarse = {"run.refinement": 0.5, "run.tolerance": "1 K"}
>>> bare, boxed = (with_overrides(one, coarse) for one in built_in_pair())

When has the top closed, in minutes, and when is the jar to be moved?

>>> events = simulate(bare.jar).events
>>> round(events.top_closed / 60), round(events.fully_set / 60)
(42, 109)

What does the box change? Two runs that go through the solver together:

>>> both = simulate_many([bare.jar, boxed.jar])
>>> [round(1e3 * result.shrinkage.depth, 1) for result in both]
[5.7, 4.1]

How hot is the wax in the middle, half-way up, after an hour?

>>> import numpy as np
>>> result = both[0]
>>> bool(42.0 < np.interp(3600.0, result.time, result.temperature_at(0.0, 0.03)) < 43.0)
True

What if the room is cooler? Each point of a sweep has all answers, in SI units:

>>> from concurrent.futures import ThreadPoolExecutor
>>> with ThreadPoolExecutor(max_workers=1) as executor:
...     cool, warm = sweep(sweep_points([bare], {"room.temperature": ["18 °C", "24 °C"]}), executor=executor)
>>> cool.answers["fully_set_s"] < warm.answers["fully_set_s"]
True

How much wax is solid when the run ends?

>>> float(np.round(1.0 - np.nanmean(result.liquid_map(result.time[-1])), 1))
0.9

Has all heat been accounted for?

>>> result.ledger.closed
True

The public names are stated in ``__init__.pyi`` and looked up on first use, so that ``import coolsim`` stays quick: a
command that only prints its help must not pay for numpy. Import each by its name: there is no ``__all__``, with which
``help(coolsim)`` would print the help of all of them, 6,000 lines.
"""

import re
from importlib import import_module
from pathlib import Path

_STATED = Path(__file__).with_suffix(".pyi").read_text(encoding="utf-8")
_HOMES = {
    name: home
    for home, names in re.findall(r"^from (\S+) import (\([^)]*\)|.+)$", _STATED, re.MULTILINE)
    for name in re.findall(r"(\w+) as \w+", names)
}


def __getattr__(name: str) -> object:
    """Import a public name from its module the first time it is asked for."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value: object = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names, those not yet imported included."""
    return sorted({*_HOMES, *(name for name in globals() if name.startswith("__"))})
