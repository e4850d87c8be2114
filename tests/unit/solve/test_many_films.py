"""Laws of many surfaces at once, against each law called by itself."""

import numpy as np
import pytest

from coolsim.errors import MaterialError
from coolsim.model.film_laws import GapFilm, LevelFilm, OpeningExchange, WallFilm
from coolsim.model.films import film_on_upright_wall
from coolsim.model.water import water
from coolsim.solve.films import TOGETHER_FROM, Films

# Powers, logarithms and exponentials of numpy and of math differ in the last digits.
ROUND_OFF = 1e-12


def sizes(seed):
    """Laws of all kinds of still air, the sizes of jars and boxes, as many as are worked out together."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(TOGETHER_FROM):
        height, across, factor = rng.uniform(0.01, 0.2), rng.uniform(0.03, 0.4), rng.uniform(0.5, 1.5)
        found += [
            WallFilm(height=height, factor=factor),
            WallFilm(height=height, diameter=across, factor=factor, emissivity=0.8),
            LevelFilm(diameter=across, factor=factor),
            LevelFilm(diameter=across, down=True, emissivity=0.9),
            GapFilm(height=height, width=rng.uniform(0.002, 0.05)),
            OpeningExchange(diameter=across, factor=3.0),
        ]
    return found


def alone(laws, surface, air):
    both = zip(laws, surface.tolist(), air.tolist(), strict=True)
    return [law(first, second) if callable(law) else law for law, first, second in both]


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_many_laws_at_once_give_what_each_gives_alone(seed):
    laws, rng = sizes(seed), np.random.default_rng(10 + seed)
    surface, air = rng.uniform(-10.0, 120.0, len(laws)), rng.uniform(0.0, 60.0, len(laws))
    # At equal temperatures, and so near to them that still air rules.
    surface[:30] = air[:30]
    surface[30:60] = air[30:60] + rng.uniform(-1e-3, 1e-3, 30)
    assert Films(laws).at(surface, air) == pytest.approx(alone(laws, surface, air), rel=ROUND_OFF)


def test_numbers_moving_air_water_and_flows_beyond_the_laminar_stand_among_many():
    rare = [
        7.5,
        WallFilm(height=0.08, diameter=0.07, speed=0.5),
        LevelFilm(diameter=0.07, speed=0.5, down=True),
        lambda surface, air: film_on_upright_wall(surface, air, height=0.05, fluid=water),
        WallFilm(height=1.5, diameter=0.5),
        WallFilm(height=3.0),
        LevelFilm(diameter=1.5),
        LevelFilm(diameter=1.5, down=True),
    ]
    laws = [law for pair in zip(rare * 10, sizes(3), strict=False) for law in pair]
    surface, air = np.linspace(80.0, 30.0, len(laws)), np.full(len(laws), 20.0)
    assert Films(laws).at(surface, air) == pytest.approx(alone(laws, surface, air), rel=ROUND_OFF)


@pytest.mark.parametrize(
    ("broken", "surface"),
    [
        ([LevelFilm(diameter=60.0), WallFilm(height=40.0)], 120.0),
        ([GapFilm(height=1.0, width=0.5)], 120.0),
        ([WallFilm(height=0.1), LevelFilm(diameter=0.1)], 600.0),
        ([GapFilm(height=0.1, width=0.01)], float("nan")),
    ],
)
def test_the_first_law_that_is_refused_is_refused_as_it_is_alone(broken, surface):
    laws = [*sizes(4), *broken]
    temperatures = np.full(len(laws), 30.0)
    temperatures[-len(broken) :] = surface + 10.0 * np.arange(len(broken))
    with pytest.raises(MaterialError) as wanted:
        alone(laws, temperatures, np.full(len(laws), 20.0))
    with pytest.raises(MaterialError) as found:
        Films(laws).at(temperatures, np.full(len(laws), 20.0))
    assert str(found.value) == str(wanted.value)


@pytest.mark.parametrize(
    ("kind", "sizes", "name"),
    [
        (WallFilm, {"height": 0.0}, "height"),
        (WallFilm, {"height": 0.1, "diameter": -0.1}, "diameter"),
        (LevelFilm, {"diameter": 0.0}, "diameter"),
        (GapFilm, {"height": -1.0, "width": 0.1}, "height"),
        (GapFilm, {"height": 0.1, "width": 0.0}, "width"),
        (OpeningExchange, {"diameter": 0.0}, "diameter"),
    ],
)
def test_a_law_of_no_size_is_refused_when_it_is_stated(kind, sizes, name):
    with pytest.raises(ValueError, match=f"^{name} .* must be positive"):
        kind(**sizes)
