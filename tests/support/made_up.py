"""Answers with numbers that are easy to follow, for what is printed and drawn of them; no run is made for them."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from coolsim.answers.catalogue import BY_KEY, COMPARED
from coolsim.scenario import with_overrides
from coolsim.studies.checks.melt_models import MeltModels
from coolsim.studies.fit.estimate import Estimate
from coolsim.studies.fit.fit import Fit, FittedField, FittedJar
from coolsim.studies.fit.log import Log, Probe
from coolsim.studies.fit.parameters import Measured, Nuisance, Seen
from coolsim.studies.fit.probe_curves import ProbeCurves
from coolsim.studies.pour.choose import PourStudy, choices_of
from coolsim.studies.repair.repair import Repair, RepairedTop
from coolsim.studies.spread.influence import MainEffects
from coolsim.studies.spread.inputs import spread_inputs
from coolsim.studies.spread.spread import Band, Chance, Spread, SpreadAnswer
from coolsim.studies.sweep.sweep import SweptRow, sweep_points
from coolsim.studies.workshop.melting import Melting
from coolsim.units import parse_quantity
from tests.support.pair import closed_pair

BARE, BOXED = closed_pair()


def hollowed(result, *, volume=2.4e-6, roof=2.8e-3):
    """The same run with a made-up cavity round the axis, 15 mm wide either way and some 10 mm high."""
    top, wax = result.shrinkage, result.wax
    under = top.level[None, :] - wax.z_edges[1:, None]
    there = (under > roof) & (under < roof + 10e-3) & (wax.r < 15e-3)
    share = volume / float(wax.volume[there].sum())
    changed = {
        "cavity": share * there,
        "hollow": share * (there * np.diff(wax.z_edges)[:, None]).sum(axis=0),
        "roof": np.where(there.any(axis=0), np.where(there, under, np.inf).min(axis=0), np.nan),
        "cavity_volume": volume,
        "cavity_roof": float(under[there].min()),
        "cavity_place": (8e-3, float(wax.z[there.any(axis=1)].mean())),
    }
    hollow = replace(result)
    vars(hollow)["shrinkage"] = replace(top, **changed)
    return hollow


def made_up_repair(**changes):
    """A repair after a minute, all of its curves straight lines of different slopes."""
    seconds = np.arange(0.0, 601.0, 10.0)
    level = np.array([0.048, 0.049, 0.050])
    found = {
        "scenario": BARE,
        "begins": 30000.0,
        "before": SimpleNamespace(
            r=np.array([0.002, 0.015, 0.030]),
            level=level,
            area=np.array([1e-4, 1e-3, 2e-3]),
            pour_level=0.052,
            rim_dip=2e-3,
            half_dip=3.4e-3,
            centre_dip=4e-3,
            hollow=np.array([4e-3, 3.6e-3, 0.0]),
            roof=np.array([3e-3, 3e-3, np.nan]),
            dish=1.4e-3,
            hole=0.6e-3,
            depth=2e-3,
            dish_volume=3e-6,
            void_volume=5e-6,
            cavity_volume=4e-6,
            cavity_roof=3e-3,
        ),
        "band": (1e-3, 4e-3),
        "verdict": "dished",
        "goals": ("level", "open"),
        "seconds": seconds,
        "r": np.array([0.002, 0.015, 0.030]),
        "depth": np.outer(seconds, [6e-5, 5e-5, 4e-5]),
        "surface": 21.0 + seconds,
        "rim": 21.0 + 0.6 * seconds,
        "across": 0.4 * seconds,
        "levelled": 40.0,
        "opened": 55.0,
        "reaches": 60.0,
        "needed": 60.0,
        "too_hot": None,
        "touch": 50.0,
        "shock": 105.0,
        "after": RepairedTop(
            level=level - 1e-3,
            sunk=0.4e-3,
            dish=0.3e-3,
            hole=0.2e-3,
            verdict="flat",
            cavity_volume=0.5e-6,
            set_after=600.0,
            cool_after=7200.0,
            touchable_after=90.0,
        ),
    }
    return Repair(**{**found, **changes})


def made_up_spread():
    """A spread of two inputs over eight runs; each number of each answer is another one."""
    inputs = spread_inputs(BARE, ["wax.latent_heat", "films.side_factor"])
    effects = MainEffects(
        shares=np.array([0.2, 0.7]), trends=np.array([1.0, -1.0]), unexplained=0.1, noise=0.01, degree=1
    )
    (point,) = sweep_points([BARE], {})
    row = SweptRow(point=point, answers={}, fault=None)
    time = np.linspace(0.0, 36000.0, 5)
    bands = tuple(
        Band(
            name=name,
            nominal=at + 2.0 + 0 * time,
            low=at + 0 * time,
            median=at + 3.0 + 0 * time,
            high=at + 7.0 + time / 36000,
        )
        for name, at in (("middle", 50.0), ("surface rim", 30.0))
    )
    answers = tuple(
        SpreadAnswer(
            name=name,
            nominal=scale * 2.0,
            low=scale,
            median=scale * 3.0,
            high=scale * 4.0,
            occurs=0.75,
            effects=effects,
        )
        for number, name in enumerate(answer.key for answer in COMPARED)
        for scale in ((1.0 + 0.1 * number) * {"s": 1800.0, "m": 1e-3, "m3": 1e-6}.get(name.rpartition("_")[2], 0.1),)
    )
    chance = Chance(name="the top is flat", nominal=True, share=0.25, effects=None)
    return Spread(
        scenario=BARE,
        inputs=inputs,
        stated=(),
        seed=3,
        passed_over=0,
        refinement=0.5,
        tolerance=0.8,
        nominal=row,
        rows=(row,) * 8,
        levels=np.full((8, 2), 0.5),
        answers=answers,
        chances=(chance,),
        time=time,
        bands=bands,
    )


def made_up_fit():
    """A fit of one field to two probes and an event; the model is off by 4 and 6 K before, by 1 and 2 K after."""
    (known,) = spread_inputs(BARE, ["films.side_factor"])
    time = np.array([600.0, 1200.0, 1800.0])
    logged = (np.array([60.0, 50.0, 40.0]), np.array([50.0, 45.0, 35.0]))
    probes = tuple(
        Probe(name=name, place=(0.0, z), time=time, temperature=values)
        for name, z, values in (("axis", 0.035, logged[0]), ("high", 0.05, logged[1]))
    )

    def shown(off, closed):
        return ProbeCurves(
            time=time,
            temperature=np.array([one + by for one, by in zip(logged, off, strict=True)]),
            seen={"top closed": closed},
        )

    field = FittedField(known=known, value=1.2, low=1.1, high=1.3, told=0.4, at_bound=False)
    estimate = Estimate(
        parameters=np.array([0.5, 0.1]),
        covariance=np.diag([0.16, 0.25]),
        interval=np.array([[-0.3, 1.5], [-0.9, 1.1]]),
        predicted=np.zeros(6),
        deviation=np.ones(6),
        noise=(0.3, 0.4),
        together=(1.5, 2.5),
        settled=True,
    )
    jar = FittedJar(
        measured=Measured(
            scenario=BARE,
            log=Log(where="log.csv", probes=probes, how=("a comma between its fields",)),
            seen=(Seen("top closed", 1500.0, 120.0),),
        ),
        before=shown((4.0, 6.0), 1260.0),
        after=shown((1.0, 2.0), 1440.0),
        misfit=((4.0, 1.0), (6.0, 2.0)),
    )
    return Fit(
        jars=(jar,), fields=(field,), errors=((Nuisance("z", 1, 1e-3), 0.5e-3, 0.2e-3),), estimate=estimate, runs=7
    )


def made_up_melting():
    """A melt in which each moment, temperature and curve is another one."""
    batch = with_overrides(BARE, {"batch.jars": 4})
    time = np.arange(0.0, 7201.0, 600.0)
    return Melting(
        scenario=batch,
        bath=batch.bath,
        wax=0.8,
        oil=0.07,
        clear=48.0,
        time=time,
        temperature=20.0 + time / 100.0,
        water=90.0 - time / 200.0,
        melted=np.minimum(time / 3000.0, 1.0),
        level=0.1 - time * 5e-6,
        all_melted=3000.0,
        oil_at=4200.0,
        stirred=4320.0,
        pour=6000.0,
        after_oil=60.0,
        warnings=(),
    )


def made_up_melts(results):
    """Answers under three models of the melt, twice and three fifths of the stratified one; the runs as given."""
    first = {
        name: {"s": 3600.0, "m": 1e-3, "m3": 1e-6}.get(name.rpartition("_")[2], 0.1) * (1.0 + 0.5 * number)
        for number, name in enumerate(answer.key for answer in COMPARED)
    }
    answers = tuple({name: factor * value for name, value in first.items()} for factor in (1.0, 2.0, 0.6))
    return MeltModels(scenario=BARE, results=tuple(results), answers=answers)


def made_up_pours():
    """Three rooms and four pours: a hotter pour sets later and falls less flat; some break a limit."""
    points = sweep_points(
        [BARE, BOXED],
        {"room.temperature": ["15 °C", "20 °C", "25 °C"], "pour.temperature": ["50 °C", "56 °C", "60 °C", "66 °C"]},
        always={"wax.highest_temperature": None, "wax.fragrance_limit": None, "report": None},
    )
    rows = []
    for point in points:
        room, pour = (parse_quantity(dict(point.at)[f"{name}.temperature"], "temperature") for name in ("room", "pour"))
        answers = {
            "skin_formed_s": 5.0,
            "skin_melted_again_s": 60.0 if pour > 55.0 else None,
            "fully_set_s": 3600.0 * (2.0 + 0.1 * (pour - 50.0) + 0.2 * (room - 15.0)),
            "depth_m": 1e-4 * (pour - 40.0) + 1e-5 * room,
            "dish_volume_m3": 1e-8 * (200.0 + (pour - 57.0) ** 2),
            "cavity_volume_m3": 1e-6,
        }
        rows.append(SweptRow(point=point, answers={**dict.fromkeys(BY_KEY), **answers}, fault=None))
    study = PourStudy(
        stands={"bare": BARE, "boxed": BOXED}, own="bare", choices=(), time_allowed=57600.0, margin=8.0, own_grid=False
    )
    choices = sorted(choices_of(rows, study), key=lambda choice: (choice.room, choice.place))
    return replace(study, choices=tuple(choices))
