"""The built-in pair as it is easiest to reckon with: poured at 65 °C, bare, and alone in a closed box."""

import copy

from coolsim.scenario import built_in_pair, scenario_from_data, with_overrides


def closed_pair():
    """The two scenarios that come with coolsim, the boxed one with its flaps closed and no neighbours."""
    bare, boxed = (with_overrides(one, {"pour.temperature": "65 °C"}) for one in built_in_pair())
    data = copy.deepcopy(boxed.data)
    data["title"] = "Tumbler, in a closed box"
    data["surround"]["flaps"] = "closed"
    del data["surround"]["exposed_sides"]
    return bare, scenario_from_data(data, where=boxed.where)
