import pytest

from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from tests.support.pair import closed_pair

# Half the cells: what is tested here is what is written, not how exact it is.
COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}


@pytest.fixture(scope="session")
def runs():
    """Bare and boxed tumbler, and the bare one cut off after an hour and a half: scenario and result of each."""
    bare, boxed = (with_overrides(one, COARSE) for one in closed_pair())
    short = with_overrides(bare, {"run.horizon": "90 min", "title": "Cut off", "report": None})
    return [(scenario, simulate(scenario.jar)) for scenario in (bare, boxed, short)]
