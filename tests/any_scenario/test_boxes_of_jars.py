from any_run import check_run
from any_scenario import boxes, examples, scenarios
from hypothesis import example, given


@examples(few=10, many=1000)
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
        "box": {
            "rows": 3,
            "columns": 3,
            "spacing": "12 mm",
            "to_wall": "10 mm",
            "empty": [[1, 1], [1, 2], [1, 3], [2, 1], [2, 3], [3, 1], [3, 2], [3, 3]],
        },
        "run": {"refinement": 0.5, "tolerance": "1 K", "horizon": "4 h"},
    }
)
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
