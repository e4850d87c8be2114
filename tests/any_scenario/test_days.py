from any_run import check_run
from any_scenario import boxes, examples, measured_waxes, scenarios
from hypothesis import example, given
from hypothesis import strategies as st


@examples(few=6, many=500)
@given(
    data=st.one_of(
        scenarios(changing=True),
        scenarios(wax=measured_waxes, box=boxes, changing=True),
        scenarios(box=boxes, many=True, changing=True),
    )
)
# A pool under a closed top grew in the warm box, and left a cavity of less than nothing.
@example(
    data={
        "title": "any",
        "vessel": {
            "diameter": "248 mm",
            "height": "198 mm",
            "wall": "0.148 mm",
            "base": "1.46 mm",
            "material": "of our own",
            "conductivity": "389 W/mK",
            "density": "139 kg/m3",
            "heat_capacity": "114 J/kgK",
        },
        "wax": {
            "kind": "coconut-blend",
            "freezing": [
                ["78 °C", "0 %"],
                ["80.4 °C", "0 %"],
                ["85.9 °C", "4.92 %"],
                ["89.1 °C", "65.8 %"],
                ["91 °C", "100 %"],
            ],
            "density_liquid_at": "96 °C",
            "total_shrinkage": "8 %",
        },
        "pour": {"temperature": "110 °C", "mass": "6270 g"},
        "support": {"material": "glass", "thickness": "132 mm"},
        "surround": {"box_width": "307 mm", "box_height": "293 mm", "flute": "C"},
        "run": {"refinement": 0.5, "horizon": "4 h"},
        "day": {"changes": [["59 min", "into the box"]]},
    }
)
# The pit at the wick went on through the bottom of the jar.
@example(
    data={
        "title": "any",
        "vessel": {
            "diameter": "8.252 in",
            "height": "3.696 in",
            "wall": "0.05001 in",
            "base": "0.006953 in",
            "material": "aluminium",
            "emissivity": 0.02,
        },
        "wax": {"kind": "beeswax"},
        "pour": {"temperature": "172.8 °F", "mass": "30.3 oz"},
        "support": {"material": "oak", "thickness": "0.2132 in", "underside": "insulated"},
        "room": {"temperature": "-2.2 °F", "air_speed": "0.09121 m/s"},
        "melt": {"mixing": "effective", "conductivity_factor": 5.013956679108492, "flows_above": "5.21e-07 %"},
        "films": {
            "headspace_factor": 0.2710278584389272,
            "side_factor": 2.1574353296565687,
            "top_factor": 3.301045212465472,
        },
        "run": {"refinement": 0.5, "horizon": "6 h"},
        "day": {
            "lid_material": "tinned-steel",
            "lid_thickness": "0.12419269933 in",
            "changes": [["22 min", "still air"], ["25 min", "draught", "2.50929 m/s"], ["46 min", "lid on"]],
        },
    }
)
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
