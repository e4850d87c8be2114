"""The list of all answers, in the order of tables, columns and keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from coolsim.answers.answer import Answer, Group, Run, Value
from coolsim.model.jar import Jar
from coolsim.solve.contraction import Shrinkage
from coolsim.solve.curves import PATHS, starting_temperature
from coolsim.solve.result import Result, Skin

LEAST_LENGTH = 1e-4
"""Tops are not told apart that differ by less than this [m], an estimate: nobody sees it."""

LEAST_VOLUME = 5e-8
"""Nor are volumes [m3], alike."""


def _pour(run: Run) -> float | None:
    return starting_temperature(run.result, "wax") if run.jar is None else run.jar.pour


def _shock_limit(run: Run) -> float | None:
    return None if run.jar is None else run.jar.vessel.shock_limit


def _skin(read: Callable[[Skin], float | None]) -> Callable[[Run], Value]:
    return lambda run: None if run.skin is None else read(run.skin)


def _top(read: Callable[[Shrinkage], float | None]) -> Callable[[Run], Value]:
    return lambda run: read(run.top)


def _share(path: str) -> Callable[[Run], Value]:
    return lambda run: {str(name): share for name, share in run.result.ledger.by_path}[path]


ANSWERS: tuple[Answer, ...] = (
    Answer(key="pour_C", label="Wax poured at", group="pour", kind="temperature", read=_pour),
    Answer(
        key="jar_C",
        may_lack=True,
        label="Jar at",
        group="pour",
        kind="temperature",
        read=lambda run: starting_temperature(run.result, "glass"),
    ),
    Answer(
        key="room_C",
        label="Room at",
        group="pour",
        kind="temperature",
        read=lambda run: float(run.result.history.room[0]),
    ),
    Answer(key="shock_limit_K", label="Shock limit", group="pour", kind="temperature_difference", read=_shock_limit),
    Answer(
        key="freezing_starts_C",
        label="Freezing starts at",
        group="pour",
        kind="temperature",
        read=lambda run: float(run.result.required_wax().table.temperature[-1]),
    ),
    Answer(key="skin_formed_s", label="Forms", group="skin", kind="duration", read=_skin(lambda skin: skin.formed)),
    Answer(
        key="skin_coldest_C",
        label="Lowest temperature",
        group="skin",
        kind="temperature",
        read=_skin(lambda skin: skin.coldest),
        grid="converges",
    ),
    Answer(
        key="skin_coldest_at_s",
        label="Coldest",
        group="skin",
        kind="duration",
        read=_skin(lambda skin: skin.coldest_at),
    ),
    Answer(
        key="skin_melted_again_s",
        label="Melts again",
        name="first skin melts again",
        group="skin",
        kind="duration",
        read=_skin(lambda skin: skin.melted_again),
        grid="converges",
        compared=True,
    ),
    *(
        Answer(
            key=key,
            label=label,
            means=means,
            name="may be lidded" if key == "cool_s" else "",
            group="setting",
            kind="duration",
            read=read,
            grid="converges",
            compared=True,
        )
        for key, label, means, read in (
            ("rim_set_s", "Rim set", "", lambda run: run.events.rim_set),
            ("wick_free_until_s", "Wick free until", "", lambda run: run.events.wick_free_until),
            ("top_closed_s", "Top closed", "", lambda run: run.events.top_closed),
            ("fully_set_s", "Fully set", "may be moved with care", lambda run: run.events.fully_set),
            ("solid_throughout_s", "Solid throughout", "", lambda run: run.events.solid_throughout),
            ("cool_s", "Cool", "may be lidded", lambda run: run.events.cool),
        )
    ),
    Answer(
        key="last_liquid_r_m",
        label="From the axis",
        group="last liquid",
        kind="length",
        read=lambda run: run.events.last_liquid[0],
    ),
    Answer(
        key="last_liquid_above_bottom_m",
        label="Above the bottom of the wax",
        group="last liquid",
        kind="length",
        read=lambda run: run.events.last_liquid[1],
    ),
    *(
        Answer(
            key=key,
            label=label,
            group="top",
            kind="length",
            read=read,
            grid="jumps",
            compared=True,
            tells_from=LEAST_LENGTH if key == "flatness_m" else None,
        )
        for key, label, read in (
            ("flatness_m", "Middle minus rim", _top(lambda top: top.flatness)),
            ("rim_dip_m", "Rim below the pour", _top(lambda top: top.rim_dip)),
            ("centre_dip_m", "Middle below the pour", _top(lambda top: top.centre_dip)),
        )
    ),
    Answer(
        key="mean_dip_m",
        label="Mean below the pour",
        group="top",
        kind="length",
        read=lambda run: run.top.ledger.surface / float(run.top.area.sum()),
    ),
    *(
        Answer(
            key=key,
            label=label,
            group="top",
            kind="volume",
            read=read,
            grid="jumps",
            compared=True,
            tells_from=LEAST_VOLUME,
        )
        for key, label, read in (
            ("dish_volume_m3", "Dish", _top(lambda top: top.dish_volume)),
            ("cavity_volume_m3", "Hidden cavity", _top(lambda top: top.cavity_volume)),
        )
    ),
    Answer(
        key="cavity_roof_m",
        may_lack=True,
        label="Its roof under the top",
        group="top",
        kind="length",
        read=_top(lambda top: top.cavity_roof),
    ),
    Answer(
        key="cavity_r_m",
        may_lack=True,
        label="From the axis",
        name="distance of the cavity from the axis",
        group="top",
        kind="length",
        read=_top(lambda top: None if top.cavity_place is None else top.cavity_place[0]),
    ),
    Answer(
        key="cavity_above_bottom_m",
        may_lack=True,
        label="Its height in the wax",
        group="top",
        kind="length",
        read=_top(lambda top: None if top.cavity_place is None else top.cavity_place[1]),
    ),
    *(
        Answer(key=key, label=label, group="losses", kind="volume", read=read)
        for key, label, read in (
            ("lost_m3", "Volume lost", _top(lambda top: top.ledger.total)),
            ("lost_surface_m3", "Sunk with the surface", _top(lambda top: top.ledger.surface)),
            ("lost_cavities_m3", "Cavities", _top(lambda top: top.ledger.cavities)),
            ("lost_pores_m3", "Pores", _top(lambda top: top.ledger.pores)),
            ("lost_solid_m3", "Contraction of the solid", _top(lambda top: top.ledger.solid)),
        )
    ),
    Answer(
        key="mass_open_share",
        label="Mass ledger",
        group="losses",
        kind=None,
        read=lambda run: run.top.ledger.open_share,
    ),
    Answer(
        key="heat_given_off_J",
        label="Given off in all",
        group="heat",
        kind=None,
        read=lambda run: run.result.ledger.given_off,
    ),
    *(
        Answer(
            key=f"heat_share_{path}",
            label=f"Through the {path}",
            name=f"heat through the {path}",
            group="heat",
            kind=None,
            read=_share(path),
            grid="converges",
            compared=True,
        )
        for path in PATHS
    ),
    Answer(
        key="ledger_open_share",
        label="Energy ledger",
        group="heat",
        kind=None,
        read=lambda run: run.result.ledger.open_share,
    ),
    Answer(
        key="ledger_closed",
        form="yes or no",
        label="Energy ledger closes",
        group="heat",
        kind=None,
        read=lambda run: run.result.ledger.closed,
    ),
    Answer(key="ended", form="words", label="Ended", group="run", kind=None, read=lambda run: run.result.ended),
    Answer(key="ended_s", label="Ended", group="run", kind="duration", read=lambda run: float(run.result.time[-1])),
    Answer(
        key="warnings",
        form="words",
        may_lack=True,
        label="Warnings",
        group="run",
        kind=None,
        read=lambda run: " ".join(run.result.warnings) or None,
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


def answers_of(result: Result, jar: Jar | None = None) -> dict[str, Value]:
    """Read all answers of a run by key; None for what was not reached or is not there.

    The numbers of a top that has not set are those of the end of the run. ValueError if the run holds no wax.
    """
    run = Run(result=result, jar=jar)
    return {answer.key: answer.read(run) for answer in ANSWERS}
