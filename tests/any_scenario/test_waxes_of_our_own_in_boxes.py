from any_run import check_run
from any_scenario import boxes, examples, measured_waxes, scenarios
from hypothesis import example, given


@examples(few=10, many=2500)
@given(data=scenarios(wax=measured_waxes, box=boxes))
# Thin steel conducts so well that the round-off of the band matrix opened the energy ledger.
@example(
    data={
        "title": "any",
        "vessel": {
            "material": "board",
            "diameter": "49.5 mm",
            "height": "230 mm",
            "wall": "0.27 mm",
            "base": "0.84 mm",
            "temperature": "83.7 °C",
        },
        "wax": {"kind": "beeswax", "freezing_starts": "38.36 °C", "freezing_ends": "37.36 °C"},
        "pour": {"temperature": "46.7 °C", "volume": "216 mL"},
        "support": {"underside": "air", "reach": "368 mm", "material": "tinned-steel", "thickness": "0.31 mm"},
        "room": {"temperature": "34.36 °C"},
        "run": {"refinement": 0.5, "tolerance": "1 K", "horizon": "6 h"},
        "surround": {
            "flap_layers": 4,
            "side_layers": 3,
            "under_layers": 6,
            "gap": "3.58 mm",
            "headroom": "1 mm",
            "layer": "6.68 mm",
        },
    }
)
# Over at once, with nothing given off that the ledger could close to.
@example(
    data={
        "title": "any",
        "vessel": {
            "material": "plywood",
            "diameter": "300 mm",
            "height": "180 mm",
            "wall": "15 mm",
            "base": "2.038 mm",
            "foot": "7.76 W/m2K",
            "emissivity": 0.61,
        },
        "wax": {"kind": "water", "fragrance_load": "0.92 %"},
        "pour": {"temperature": "0.11 °C", "level": "129.985 mm"},
        "support": {
            "material": "foam",
            "conductivity": "1 W/mK",
            "density": "10 kg/m3",
            "heat_capacity": "100 J/kgK",
            "thickness": "0.31 mm",
        },
        "room": {"temperature": "-7.1146 °C"},
        "answers": {"cool_within": "7.75 K"},
        "run": {"refinement": 0.5, "horizon": "1 h"},
        "surround": {"gap": "1 mm", "headroom": "0 mm", "flute": "B"},
    }
)
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
