from any_run import check_run
from any_scenario import examples, measured_waxes, scenarios
from hypothesis import example, given


@examples(few=10, many=2500)
@given(data=scenarios(wax=measured_waxes))
# Melt that settles quickly was stirred in steps too long for it: its top got 4 K hotter than the pour.
@example(
    data={
        "title": "any",
        "vessel": {
            "diameter": "211.4 mm",
            "height": "332.9 mm",
            "wall": "0.35 mm",
            "base": "0.12 mm",
            "material": "tinned-steel",
        },
        "wax": {"kind": "beeswax", "freezing_starts": "64.08 °C", "freezing_ends": "64 °C"},
        "pour": {"temperature": "87 °C", "level": "204.7 mm"},
        "support": {"material": "aluminium", "thickness": "10 mm"},
        "room": {"temperature": "55.5 °C"},
        "melt": {"relaxation": "7.6 s"},
        "run": {"refinement": 0.5, "tolerance": "1 K", "horizon": "1 h"},
    }
)
# The upper edge of a thin wall of foam, and the wax there, ended colder than the room.
@example(
    data={
        "title": "any",
        "vessel": {
            "diameter": "24.4 mm",
            "height": "58.56 mm",
            "wall": "0.1 mm",
            "base": "1.095 mm",
            "material": "foam",
            "conductivity": "1.03 W/mK",
            "density": "70.6 kg/m3",
            "heat_capacity": "3346 J/kgK",
            "temperature": "81.1 °C",
        },
        "wax": {"kind": "paraffin", "freezing_starts": "72.2 °C", "freezing_ends": "71.2 °C"},
        "pour": {"temperature": "76.5 °C", "level": "39.6 mm"},
        "support": {"material": "oak", "thickness": "199 mm"},
        "room": {"temperature": "0 °C"},
        "run": {"refinement": 0.5, "tolerance": "0.1 K", "horizon": "6 h"},
    }
)
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
