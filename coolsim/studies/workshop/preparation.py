"""How long the wax takes until it may be poured."""

from __future__ import annotations

from dataclasses import dataclass

from coolsim.errors import ScenarioError
from coolsim.model.catalogue import NEVER_SETS
from coolsim.scenario import Scenario
from coolsim.scenario.plausible import states
from coolsim.studies.workshop.melting import melt_batch
from coolsim.studies.workshop.portions import one_melt, portions

STIRRING = 120.0
"""How long the oil is stirred in [s] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Preparation:
    """How long it takes until the wax may be poured.

    Parameters
    ----------
    melted : float or None
        Until the last wax has melted, from when melting begins [s]; None if nobody knows.
    oil, stirred, pour : float
        Until the oil may be added, it is stirred in, and the wax has the temperature of the pour; each counts from
        when melting begins [s].
    estimated : bool
        Whether these are the estimates of the table `plan`.
    computed : bool
        Whether they are those of `coolsim.studies.workshop.melting`.
    melts : int
        How many melts the batch takes, of which this is the first [-].

    Examples
    --------
    >>> from coolsim import Preparation
    >>> watched = Preparation(melted=2700.0, oil=3000.0, stirred=3120.0, pour=3900.0)
    >>> (watched.pour - watched.oil) / 60.0
    15.0
    """

    melted: float | None
    oil: float
    stirred: float
    pour: float
    estimated: bool = False
    computed: bool = False
    melts: int = 1

    def __post_init__(self) -> None:
        """Refuse times that run backwards."""
        if not 0.0 <= (self.melted or 0.0) <= self.oil <= self.stirred <= self.pour:
            raise ValueError(
                f"found {self.melted} s, {self.oil} s, {self.stirred} s and {self.pour} s, but times of a preparation"
                " run forwards: melted, oil, stirred, pour"
            )


def preparation(scenario: Scenario) -> Preparation:
    """Tell how long the wax takes until it may be poured: that of the first melt, if the batch takes several.

    By the scenario's own `plan.melting` and `plan.resting` if it states one of them; computed if it has the tables
    `melting` and `batch`; else by the estimates of `plan`. ScenarioError if the melt of the scenario cannot be made
    so.

    >>> from coolsim import built_in_pair
    >>> before = preparation(built_in_pair()[0])
    >>> before.oil / 60.0, before.pour / 60.0
    (60.0, 75.0)
    """
    plan = scenario.plan
    by_watch = [states(scenario, key) for key in ("plan.melting", "plan.resting")]
    parts = () if scenario.batch is None else portions(scenario)
    if not any(by_watch) and states(scenario, "melting") and parts:
        found = melt_batch(one_melt(scenario, parts[0]))
        return Preparation(
            melted=found.all_melted,
            oil=found.oil_at,
            stirred=found.stirred,
            pour=found.pour,
            computed=True,
            melts=len(parts),
        )
    return Preparation(
        melted=None,
        oil=plan.melting,
        stirred=plan.melting + STIRRING,
        pour=plan.melting + plan.resting,
        estimated=not all(by_watch),
        melts=max(len(parts), 1),
    )


def must_set(scenario: Scenario) -> None:
    """Refuse what is no candle: a jar filled with water, as for fitting the films."""
    if scenario.file.wax.kind in NEVER_SETS:
        raise ScenarioError(
            f"{scenario.where}: wax.kind: found 'water', which never sets, so there is no plan, no sheet and no label."
            " Give a scenario with a wax."
        )
