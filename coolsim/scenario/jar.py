"""From the tables of a scenario without faults to the jar of `coolsim.model`."""

from __future__ import annotations

from coolsim.model.jar import Jar
from coolsim.scenario.day import changes_of, starts_bare
from coolsim.scenario.file import ScenarioFile
from coolsim.scenario.melt import melt_of
from coolsim.scenario.places import places_of
from coolsim.scenario.pour import depth_of
from coolsim.scenario.room import room_of
from coolsim.scenario.run import accuracy_of, thresholds_of
from coolsim.scenario.support import support_of
from coolsim.scenario.surround import surround_of, water_of
from coolsim.scenario.vessel import vessel_of
from coolsim.scenario.wax import wax_of


def jar_of(file: ScenarioFile) -> Jar:
    """Build what one run needs."""
    places = None if file.places is None else places_of(file.places, file.vessel)
    surround = None if file.cardboard is None else surround_of(file.cardboard, file.vessel, places)
    depth = depth_of(file.pour, file.vessel, file.wax)
    at_first = None if starts_bare(file.day) else surround
    stands_on_board = at_first is not None and at_first.under_layers > 0

    def foot(on_board: bool) -> float:
        # A contact that is stated is that of the place at the pour.
        return vessel_of(file.vessel, on_board=on_board, stated=on_board == stands_on_board).foot

    return Jar(
        name=file.title,
        vessel=vessel_of(file.vessel, on_board=stands_on_board),
        wax=wax_of(file.wax),
        depth=depth,
        pour=file.pour.temperature,
        support=support_of(file.support),
        surround=at_first,
        water=None if file.water is None else water_of(file.water, level=file.vessel.base + depth),
        changes=changes_of(file.day, surround=surround, speed=file.room.air_speed, feet=foot),
        places=places,
        room=room_of(file.room, pour=file.pour.clock),
        melt=melt_of(file.melt, file.mush, file.wax.kind),
        answers=thresholds_of(file.answers),
        accuracy=accuracy_of(file.run),
        horizon=file.run.horizon,
        **file.films.given("headspace_factor", "side_factor", "top_factor"),
    )
