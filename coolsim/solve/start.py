"""Where a run starts from: the pour, or a state that another run has reached."""

from __future__ import annotations

from dataclasses import dataclass

from coolsim.model.section import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A state from which a run goes on: `Result.state_at` gives it, `simulate` and `integrate` take it.

    - `time`: Since the pour [s].
    - `enthalpy` (n,): Enthalpy of the cells in row order [J/m3].
    - `nodes` (k,): Temperatures of the nodes [°C].
    - `owed` (k,): Heat given to the nodes and not yet in their temperature [J].
    - `owed_over`: Length of the step in which that arose [s].
    - `surface` (m,): Temperatures of the faces to the air [°C].
    - `gaps`: Mean temperatures of the two faces of each air gap [°C].
    - `lost`, `to_nodes`, `carried`: Heat that has left through each boundary since the pour, the part of it that went
      to each node, and heat along each node link [J].
    - `released`: Heat of sources since the pour [J].
    - `given_off`: Heat that section and nodes hold less than when they were poured or put there [J].

    Examples
    --------
    A run cut in two at 40 minutes ends like the whole one:

    >>> from coolsim import built_in_pair, simulate, with_overrides
    >>> jar = with_overrides(built_in_pair()[0], {"run.refinement": 0.5, "run.tolerance": "1 K"}).jar
    >>> first = simulate(jar, until=2400.0)
    >>> start = first.state_at(2400.0)
    >>> start.time, first.ended
    (2400.0, 'until')
    >>> simulate(jar, start=start).ended
    'cool'
    """

    time: float
    enthalpy: Array
    nodes: Array
    owed: Array
    owed_over: float
    surface: Array
    gaps: tuple[tuple[float, float], ...]
    lost: Array
    to_nodes: Array
    carried: Array
    released: float
    given_off: float
