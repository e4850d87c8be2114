from any_run import check_run
from any_scenario import boxes, examples, scenarios
from hypothesis import example, given


@examples(few=10, many=2500)
@given(data=scenarios(box=boxes))
# Light air was driven away by what it was owed from a longer step, to thousands of degrees.
@example(
    data={
        "title": "any",
        "vessel": {
            "diameter": "212.5 mm",
            "height": "217.94 mm",
            "wall": "5.0 mm",
            "base": "2.55 mm",
            "material": "glass",
        },
        "wax": {"kind": "soft-vegetable"},
        "pour": {"temperature": "45 °C", "level": "215.38784 mm"},
        "support": {"material": "glass", "thickness": "1 mm"},
        "surround": {
            "gap": "1 mm",
            "headroom": "0 mm",
            "flute": "E",
            "flaps": "open",
            "under_layers": 0,
            "exposed_sides": 1,
        },
        "room": {"temperature": "0 °C"},
        "melt": {"mixing": "effective", "flows_above": "50 %"},
        "run": {"refinement": 0.5, "horizon": "12 h"},
    }
)
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
