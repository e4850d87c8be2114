"""The list of all answers, in the order of tables, columns and keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from coolsim.answers.answer import Answer, Group, Run, Value, number_of
from coolsim.model.jar import Jar
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.curves import PATHS, starting_temperature
from coolsim.solve.result import Result, Skin
from coolsim.units import Kind

LEAST_LENGTH = 1e-4
"""Tops are not told apart that differ by less than this [m], an estimate: nobody sees it."""

LEAST_VOLUME = 5e-8
"""Nor are volumes [m3], alike."""

# Followed from run to run: with an error that a coarser run bounds, or that jumps from grid to grid.
_FOLLOWED: dict[str, Any] = {"grid": "converges", "compared": True}
_JUMPING: dict[str, Any] = {"grid": "jumps", "compared": True, "worst": "largest"}
_LATE: dict[str, Any] = {**_FOLLOWED, "worst": "largest"}


def _pour(run: Run) -> float | None:
    return starting_temperature(run.result, "wax") if run.jar is None else run.jar.pour


def _shock_limit(run: Run) -> float | None:
    return None if run.jar is None else run.jar.vessel.shock_limit


def _freezing_starts(run: Run) -> float:
    return float(run.result.required_wax().table.temperature[-1])


def _mean_dip(top: Shrinkage) -> float:
    return top.ledger.surface / float(top.area.sum())


def _skin(read: Callable[[Skin], float | None]) -> Callable[[Run], Value]:
    return lambda run: None if run.skin is None else read(run.skin)


def _top(read: Callable[[Shrinkage], float | None]) -> Callable[[Run], Value]:
    return lambda run: read(run.top)


def _share(path: str) -> Callable[[Run], Value]:
    return lambda run: {str(name): share for name, share in run.result.ledger.by_path}[path]


def _answers(
    group: Group, kind: Kind | None, *entries: tuple[str, str, Callable[[Run], Value]], **shared: Any
) -> tuple[Answer, ...]:
    """Answers of one group and kind, each by key, label and how it is read, with what else they share."""
    return tuple(
        Answer(key=key, label=label, group=group, kind=kind, read=read, **shared) for key, label, read in entries
    )


ANSWERS: tuple[Answer, ...] = (
    *_answers("pour", "temperature", ("pour_C", "Wax poured at", _pour)),
    *_answers(
        "pour", "temperature", ("jar_C", "Jar at", lambda run: starting_temperature(run.result, "glass")), may_lack=True
    ),
    *_answers("pour", "temperature", ("room_C", "Room at", lambda run: float(run.result.history.room[0]))),
    *_answers("pour", "temperature_difference", ("shock_limit_K", "Shock limit", _shock_limit), may_lack=True),
    *_answers("pour", "temperature", ("freezing_starts_C", "Freezing starts at", _freezing_starts)),
    *_answers("skin", "duration", ("skin_formed_s", "Forms", _skin(lambda skin: skin.formed)), worst="least"),
    *_answers(
        "skin",
        "temperature",
        ("skin_coldest_C", "Lowest temperature", _skin(lambda skin: skin.coldest)),
        grid="converges",
        worst="least",
    ),
    *_answers(
        "skin",
        "duration",
        ("skin_coldest_at_s", "Coldest", _skin(lambda skin: skin.coldest_at)),
        worst="skin_coldest_C",
    ),
    *_answers(
        "skin",
        "duration",
        ("skin_melted_again_s", "Melts again", _skin(lambda skin: skin.melted_again)),
        name="first skin melts again",
        **_LATE,
    ),
    *_answers(
        "skin",
        "temperature_difference",
        ("skin_warmest_K", "Wall warms to, above the start of freezing", _skin(lambda skin: skin.warmest)),
        ("skin_rim_warmest_K", "Rim warms to, above where it bears a fingertip", _skin(lambda skin: skin.rim_warmest)),
        worst="least",
    ),
    *_answers("setting", "duration", ("rim_set_s", "Rim set", lambda run: run.events.rim_set), **_LATE),
    *_answers(
        "setting",
        "duration",
        ("wick_free_until_s", "Wick free until", lambda run: run.events.wick_free_until),
        worst="least",
        **_FOLLOWED,
    ),
    *_answers("setting", "duration", ("top_closed_s", "Top closed", lambda run: run.events.top_closed), **_LATE),
    *_answers(
        "setting",
        "duration",
        ("fully_set_s", "Fully set", lambda run: run.events.fully_set),
        means="may be moved with care",
        **_LATE,
    ),
    *_answers(
        "setting", "duration", ("top_final_s", "Top has sunk for good", lambda run: run.events.top_final), **_LATE
    ),
    *_answers(
        "setting",
        "duration",
        ("solid_s", "As solid as this room makes it", lambda run: run.events.solid_throughout),
        name="as solid as it gets",
        **_LATE,
    ),
    *_answers(
        "setting",
        "duration",
        ("cool_s", "Cool", lambda run: run.events.cool),
        name="may be lidded",
        means="may be lidded",
        **_LATE,
    ),
    *_answers(
        "last liquid",
        "length",
        ("last_liquid_r_m", "From the axis", lambda run: run.events.last_liquid[0]),
        ("last_liquid_above_bottom_m", "Above the bottom of the wax", lambda run: run.events.last_liquid[1]),
    ),
    *_answers(
        "top",
        "length",
        ("dish_m", "Dish: half-way in below the rim", _top(lambda top: top.dish)),
        name="dish",
        tells_from=LEAST_LENGTH,
        **_JUMPING,
    ),
    *_answers(
        "top",
        "length",
        ("hole_m", "Hole: middle below half-way in", _top(lambda top: top.hole)),
        name="hole",
        tells_from=LEAST_LENGTH,
        **_JUMPING,
    ),
    *_answers(
        "top",
        "length",
        ("depth_m", "Middle below the rim", _top(lambda top: top.depth)),
        tells_from=LEAST_LENGTH,
        **_JUMPING,
    ),
    *_answers(
        "top",
        "length",
        ("rim_dip_m", "Fall of the rim", _top(lambda top: top.rim_dip)),
        ("centre_dip_m", "Fall of the middle", _top(lambda top: top.centre_dip)),
        **_JUMPING,
    ),
    *_answers("top", "length", ("mean_dip_m", "Mean fall of the top", _top(_mean_dip)), worst="largest"),
    *_answers(
        "top",
        "volume",
        ("dish_volume_m3", "Sunk volume", _top(lambda top: top.dish_volume)),
        tells_from=LEAST_VOLUME,
        **_JUMPING,
    ),
    *_answers(
        "top",
        "volume",
        ("void_volume_m3", "Void in the wax", _top(lambda top: top.void_volume)),
        tells_from=LEAST_VOLUME,
        **_JUMPING,
    ),
    *_answers(
        "top",
        "volume",
        ("cavity_volume_m3", "Of it hidden cavity", _top(lambda top: top.cavity_volume)),
        name="hidden cavity",
        tells_from=LEAST_VOLUME,
        **_JUMPING,
    ),
    *_answers(
        "top",
        "length",
        ("cavity_roof_m", "Its roof under the top", _top(lambda top: top.cavity_roof)),
        may_lack=True,
        worst="cavity_volume_m3",
    ),
    *_answers(
        "top",
        "length",
        ("cavity_r_m", "From the axis", _top(lambda top: top.cavity_place and top.cavity_place[0])),
        name="distance of the cavity from the axis",
        may_lack=True,
        worst="cavity_volume_m3",
    ),
    *_answers(
        "top",
        "length",
        (
            "cavity_above_bottom_m",
            "Its centre, above the bottom",
            _top(lambda top: top.cavity_place and top.cavity_place[1]),
        ),
        may_lack=True,
        worst="cavity_volume_m3",
    ),
    *_answers(
        "losses",
        "volume",
        ("lost_m3", "Volume lost", _top(lambda top: top.ledger.total)),
        ("lost_surface_m3", "Sunk with the surface", _top(lambda top: top.ledger.surface)),
        ("lost_cavities_m3", "Cavities", _top(lambda top: top.ledger.cavities)),
        ("lost_pores_m3", "Pores", _top(lambda top: top.ledger.pores)),
        ("lost_solid_m3", "Contraction of the solid", _top(lambda top: top.ledger.solid)),
    ),
    *_answers(
        "losses", None, ("mass_open_share", "Mass ledger", _top(lambda top: top.ledger.open_share)), worst="largest"
    ),
    *_answers("heat", None, ("heat_given_off_J", "Given off in all", lambda run: run.result.ledger.given_off)),
    *(
        answer
        for path in PATHS
        for answer in _answers(
            "heat",
            None,
            (f"heat_share_{path}", f"Through the {path}", _share(path)),
            name=f"heat through the {path}",
            **_FOLLOWED,
        )
    ),
    *_answers(
        "heat", None, ("ledger_open_share", "Energy ledger", lambda run: run.result.ledger.open_share), worst="largest"
    ),
    *_answers(
        "heat",
        None,
        ("ledger_closed", "Energy ledger closes", lambda run: run.result.ledger.closed),
        form="yes or no",
        worst="least",
    ),
    *_answers("run", None, ("last_jar", "Jar that is set last", lambda run: run.place), form="words", may_lack=True),
    *_answers("run", None, ("ended", "Ended", lambda run: run.result.ended), form="words"),
    *_answers("run", None, ("solid_share", "Solid at the end", lambda run: run.result.solid_share), worst="least"),
    *_answers("run", "duration", ("ended_s", "Ended", lambda run: float(run.result.time[-1]))),
    *_answers(
        "run",
        None,
        ("warnings", "Warnings", lambda run: " ".join(run.result.warnings) or None),
        form="words",
        may_lack=True,
    ),
)

BY_KEY = MappingProxyType({answer.key: answer for answer in ANSWERS})
"""The same by key."""


HEADINGS: MappingProxyType[Group, str] = MappingProxyType(
    {
        "pour": "At the pour",
        "skin": "First skin at the glass",
        "setting": "Setting [h:mm since the pour]",
        "last liquid": "Place of the last liquid",
        "top": "Top and inside (estimates)",
        "losses": "Volume lost",
        "heat": "Heat",
        "run": "Run",
    }
)
"""What stands over the answers of a group."""


def in_group(group: Group) -> tuple[Answer, ...]:
    """Answers of a group, in their order."""
    return tuple(answer for answer in ANSWERS if answer.group == group)


COMPARED = tuple(answer for answer in ANSWERS if answer.compared)
"""Answers that are followed from run to run. Left out is what moves with the cells more than with the inputs: the
coldest place of the first skin, the roof of the cavity, the place of the last liquid."""


def skin_stays(answers: Mapping[str, Value]) -> bool:
    """Whether a first skin forms and never melts again."""
    return answers["skin_formed_s"] is not None and answers["skin_melted_again_s"] is None


def beyond_shock(answers: Mapping[str, Value]) -> bool:
    """Whether the wax is hotter than the jar by more than its shock limit; never for metal, which has none."""
    pour, jar, limit = (number_of(answers[key]) for key in ("pour_C", "jar_C", "shock_limit_K"))
    return pour is not None and jar is not None and limit is not None and pour - jar > limit


def answers_of(result: Result, jar: Jar | None = None, *, place: str | None = None) -> dict[str, Value]:
    """Read all answers of a run by key; None for what was not reached or is not there.

    `place` says where the jar stands in a box of several. The numbers of a top that has not set are those of the end of
    the run. ValueError if the run holds no wax.
    """
    run = Run(result=result, jar=jar, place=place)
    return {answer.key: answer.read(run) for answer in ANSWERS}
