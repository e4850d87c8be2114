"""Runs that go through the stepper together, against the same runs one by one."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from coolsim import MaterialError, built_in_pair, load_scenario, with_overrides
from coolsim.model.layout import problem_of
from coolsim.solve import integrate as loop
from coolsim.solve.integrate import integrate, integrate_abreast
from coolsim.solve.network import build
from coolsim.solve.simulate import simulate, simulate_many
from tests.support.commands import SCENARIOS

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
ROUND_OFF = 1e-8


def jars():
    """Bare and in a box, of two waxes, sizes and rooms, of which one changes by the clock."""
    bare, boxed = (with_overrides(one, COARSE) for one in built_in_pair())
    room_by_the_clock = replace(bare.jar, room=replace(bare.jar.room, temperature=lambda time: 21.0 - time / 7200.0))
    return [
        bare.jar,
        boxed.jar,
        with_overrides(boxed, {"room.temperature": "16 °C", "pour.temperature": "66 °C"}).jar,
        with_overrides(bare, {"wax.kind": "paraffin", "pour.temperature": "75 °C"}).jar,
        with_overrides(bare, {"vessel.diameter": "66 mm", "pour.volume": "150 mL"}).jar,
        room_by_the_clock,
    ]


@pytest.fixture(scope="module")
def networks():
    return [build(problem_of(jar)) for jar in jars()]


def test_each_run_is_what_it_is_alone(networks):
    together = integrate_abreast(networks)
    for network, history in zip(networks, together, strict=True):
        alone = integrate(network)
        assert (history.ended, history.rejected) == (alone.ended, alone.rejected)
        assert history.time == pytest.approx(alone.time, rel=ROUND_OFF)
        for name in ("enthalpy", "surface", "nodes", "owed", "gaps", "room", "lost", "to_nodes", "carried"):
            of_both = getattr(history, name), getattr(alone, name)
            scale = np.abs(of_both[1]).max(initial=1e-9)
            assert np.abs(of_both[0] - of_both[1]).max(initial=0.0) <= ROUND_OFF * scale, name


def test_runs_are_laid_together_anew_as_they_end(networks, monkeypatch):
    laid = []

    def watched(parts):
        laid.append(len(parts))
        return abreast(parts)

    abreast = loop.abreast
    monkeypatch.setattr(loop, "abreast", watched)
    integrate_abreast(networks)
    assert laid[0] == len(networks)
    assert laid == sorted(laid, reverse=True)
    # As soon as fewer than six in ten are still going.
    assert all(after < 0.6 * before for before, after in pairwise(laid))
    assert laid[-1] == 1


def test_many_gives_what_each_gives_alone_jars_of_metal_and_faults_among_them():
    tin = with_overrides(load_scenario(SCENARIOS / "small-tin.toml"), COARSE).jar
    box = with_overrides(load_scenario(SCENARIOS / "flaps-open.toml"), COARSE).jar
    bare, boxed = jars()[:2]
    # Hotter than air is known to be.
    broken = replace(problem_of(bare), source=lambda r, z, time: 1e7 + 0.0 * r)
    with pytest.raises(MaterialError) as alone:
        simulate(broken)
    found = simulate_many([bare, tin, broken, boxed, box])
    assert str(found[2]) == str(alone.value)
    for jar, result in zip((bare, tin, boxed, box), (found[0], found[1], found[3], found[4]), strict=True):
        assert result.name == jar.name
        assert result.events.top_closed == pytest.approx(simulate(jar).events.top_closed, rel=ROUND_OFF)
