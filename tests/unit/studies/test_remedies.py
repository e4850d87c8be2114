"""What is tried where no pour passes: each change is really made, in steps, and only where it could help."""

import pytest

from coolsim.scenario import with_overrides
from coolsim.studies.pour.choose import Candidate, PourChoice, PourStudy
from coolsim.studies.pour.remedies import try_remedies
from tests.support.pair import closed_pair

BARE, BOXED = (with_overrides(one, {"run.refinement": 0.5, "run.tolerance": "1 K"}) for one in closed_pair())


@pytest.fixture
def tried(monkeypatch):
    """What is run for a place of which every pour breaks a limit, when no run helps: data by change."""

    def run(place, limit, *, room=16.0, jar=None, choices=(), **overrides):
        scenario = with_overrides(BARE if place == "bare" else BOXED, overrides)
        study = PourStudy(
            stands={"bare": BARE, "boxed": BOXED, place: scenario},
            own="bare",
            choices=choices,
            time_allowed=16 * 3600.0,
            margin=8.0,
            own_grid=True,
        )
        one = Candidate(
            place=place, room=room, jar=room if jar is None else jar, pour=60.0, answers=None, rejected=(limit,)
        )
        sent = []

        def nothing_helps(studies, **_):
            (asked,) = studies
            outcomes = None
            while True:
                try:
                    wanted = asked.send(outcomes)
                except StopIteration as end:
                    return [end.value]
                sent.extend(wanted.points)
                outcomes = [{"fault": "told so"}] * len(wanted.points)

        monkeypatch.setattr("coolsim.studies.pour.remedies.run_studies", nothing_helps)
        remedies = try_remedies(study, PourChoice(place=place, room=room, jar=one.jar, candidates=(one,)))
        assert all(remedy.choice in choices for remedy in remedies if remedy.helps)
        assert all(remedy.choice.place == place for remedy in remedies)
        return {remedy.change: remedy.value for remedy in remedies}, [point.jar for point in sent]

    return run


def test_warmth_is_tried_in_steps_up_to_what_a_hand_and_a_room_bear(tried):
    changes, runs = tried("bare", "skin stays", room=26.0)
    # 29 °C is the last room under 30 °C.
    assert changes == {"warm the jar": 56.0, "warm the room": 29.0}
    assert {jar.vessel.start for jar in runs} == {36.0, 46.0, 56.0, None}
    assert {jar.room.temperature for jar in runs} == {26.0, 29.0}
    # No jar above 60 °C: it could not be held.
    assert tried("bare", "skin stays", room=26.0, jar=45.0)[0] == {"warm the jar": 55.0, "warm the room": 29.0}


def test_a_draught_is_kept_off_only_where_there_is_one(tried):
    changes, runs = tried("bare", "jar shock", **{"room.air_speed": "0.3 m/s"})
    assert "still air" in changes
    assert {jar.room.air_speed for jar in runs} == {0.0, 0.3}
    assert "still air" not in tried("bare", "jar shock")[0]


def test_a_box_is_closed_first_and_covered_where_it_is_closed(tried):
    changes, runs = tried("boxed", "skin stays", **{"surround.flaps": "open"})
    assert "close the flaps" in changes
    assert "cover the flaps" not in changes
    assert {jar.surround.flaps for jar in runs} == {"open", "closed"}
    changes, runs = tried("boxed", "skin stays", **{"surround.flaps": "closed"})
    assert "cover the flaps" in changes
    # A towel of 10 mm conducts 0.06 W/mK.
    assert {round(jar.surround.cover, 9) for jar in runs} == {0.0, round(0.01 / 0.06, 9)}


def test_where_it_sets_too_slowly_cold_is_tried_and_no_warmth(tried):
    changes, runs = tried("boxed", "too slow", **{"surround.flaps": "closed"})
    assert changes == {"cool the room": 10.0, "open the flaps": None}
    assert {jar.room.temperature for jar in runs} == {13.0, 10.0, 16.0}
    assert {jar.surround.flaps for jar in runs} == {"open", "closed"}


def test_a_remedy_that_cannot_be_is_no_advice(tried):
    # Three kelvin more are above the warmest room, three less below the coldest.
    assert "warm the room" not in tried("bare", "skin stays", room=29.0)[0]
    assert tried("bare", "too slow", room=11.0)[0] == {}


def test_what_the_study_says_of_a_warmer_room_needs_no_run(tried):
    def of(room, *, jar=None, pours=(60.0,), rejected=()):
        at = {"place": "bare", "room": room, "jar": room if jar is None else jar}
        return PourChoice(
            **at, candidates=tuple(Candidate(**at, pour=pour, answers=None, rejected=rejected) for pour in pours)
        )

    def rooms_run(**known):
        changes, runs = tried("bare", "skin stays", **known)
        return changes["warm the room"], {jar.room.temperature for jar in runs} - {16.0}

    # A pour passes at 19 °C.
    assert rooms_run(choices=(of(19.0),)) == (19.0, set())
    # The usual pours were tried there, and none passes; of a pour alone nobody knows.
    usual = tuple(float(pour) for pour in range(40, 100))
    assert rooms_run(choices=(of(19.0, pours=usual, rejected=("skin stays",)),)) == (25.0, {22.0, 25.0})
    assert rooms_run(choices=(of(19.0, rejected=("skin stays",)),)) == (25.0, {19.0, 22.0, 25.0})
    # A jar as warm as the room there is not this one, which is 30 °C warm in any room.
    assert rooms_run(choices=(of(19.0),), jar=30.0) == (25.0, {19.0, 22.0, 25.0})
    assert rooms_run(choices=(of(19.0, jar=30.0),), jar=30.0) == (19.0, set())
