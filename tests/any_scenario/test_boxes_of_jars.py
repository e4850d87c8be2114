from any_run import check_run
from any_scenario import boxes, examples, scenarios
from hypothesis import example, given


@examples(few=6, many=1000)
@given(data=scenarios(box=boxes, many=True))
# With no jar at the wall there was no gap there to take the mean of.
@example(
    data={
        "title": "any",
        "vessel": {"diameter": "78 mm", "height": "86 mm", "wall": "3.5 mm", "base": "8 mm", "material": "glass"},
        "wax": {"kind": "soft-vegetable"},
        "pour": {"temperature": "65 °C", "level": "59 mm"},
        "support": {"material": "oak", "thickness": "30 mm"},
        "surround": {"headroom": "12 mm", "flute": "B", "temperature": "40 °C"},
        "places": {
            "rows": 3,
            "columns": 3,
            "spacing": "12 mm",
            "to_wall": "10 mm",
            "empty": [[1, 1], [1, 2], [1, 3], [2, 1], [2, 3], [3, 1], [3, 2], [3, 3]],
        },
        "run": {"refinement": 0.5, "tolerance": "1 K", "horizon": "4 h"},
    }
)
# Thin oak above the pour and the air between two jars swung up in long steps, and ended colder than the room.
@example(
    data={
        "title": "any",
        "vessel": {
            "diameter": "231 mm",
            "height": "304 mm",
            "wall": "0.73 mm",
            "base": "0.25 mm",
            "material": "oak",
            "temperature": "99 °C",
        },
        "wax": {"kind": "water", "fragrance_load": "8 %"},
        "pour": {"temperature": "98.8 °C", "level": "215 mm"},
        "support": {
            "material": "of our own",
            "conductivity": "1 W/mK",
            "density": "188 kg/m3",
            "heat_capacity": "1103 J/kgK",
            "thickness": "0.6 mm",
            "underside": "insulated",
        },
        "surround": {"material": "board", "box_height": "439 mm", "layer": "5.8 mm"},
        "room": {"temperature": "-6.7 °C"},
        "melt": {"mixing": "effective"},
        "films": {"side_factor": 2.94, "headspace_factor": 0.055},
        "places": {"rows": 2, "columns": 5, "to_wall": "0 mm", "spacing": "0 mm"},
        "run": {"refinement": 0.5, "tolerance": "1 K", "horizon": "5 h"},
    }
)
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
