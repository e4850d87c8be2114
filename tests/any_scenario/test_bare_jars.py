from any_run import check_run
from any_scenario import examples, scenarios
from hypothesis import example, given


@examples(few=10, many=2500)
@given(data=scenarios())
# Where a thin wall meets a thin base, alternating directions ended 3 K colder than the room.
@example(
    data={
        "title": "any",
        "vessel": {
            "diameter": "20 mm",
            "height": "350 mm",
            "wall": "0.1 mm",
            "base": "0.475 mm",
            "material": "slate",
            "foot": "177 W/m2K",
        },
        "wax": {"kind": "paraffin-54-narrow", "fragrance_load": "13.6 %"},
        "pour": {"temperature": "61.7 °C", "volume": "72.5 mL"},
        "support": {"material": "slate", "thickness": "1.13 mm", "reach": "14.8 mm"},
        "room": {"temperature": "0 °C"},
        "run": {"refinement": 0.5, "tolerance": "1 K", "horizon": "7 h"},
    }
)
# Parted pools were fed one after the other: what sank in one was missing from what the next had drawn.
@example(
    data={
        "title": "any",
        "vessel": {
            "diameter": "44.58 mm",
            "height": "20 mm",
            "wall": "2.05 mm",
            "base": "1 mm",
            "material": "glass",
            "foot": "205 W/m2K",
            "temperature": "-8 °C",
        },
        "wax": {"kind": "paraffin-47"},
        "pour": {"temperature": "47.7 °C", "volume": "15.673 mL"},
        "support": {"material": "glass", "thickness": "115.6 mm", "underside": "insulated"},
        "room": {"temperature": "0.1 °C"},
        "melt": {"mixing": "effective", "conductivity_factor": 28.2, "flows_above": "1e-7 %"},
        "run": {"refinement": 0.5, "tolerance": "1 K", "horizon": "7 h"},
    }
)
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
