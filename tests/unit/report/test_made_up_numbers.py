"""Numbers that are easy to follow, in every cell of the tables and under every key for machines."""

import csv
import io
from dataclasses import replace

import numpy as np
import pytest
from made_up import made_up_fit, made_up_melting, made_up_pours, made_up_repair, made_up_spread

from coolsim.report.text.fit import fit_data, fit_text
from coolsim.report.text.melting import melting_data, melting_text
from coolsim.report.text.pour import pour_csv
from coolsim.report.text.repair import repair_data, repair_text
from coolsim.report.text.spread import spread_data, spread_text
from coolsim.studies.fit.parameters import Nuisance


def part(text, first, last):
    """The lines from the one that begins with `first` to the one before that which begins with `last`."""
    lines = text.splitlines()
    begin = next(number for number, line in enumerate(lines) if line.startswith(first))
    return lines[begin : next(number for number, line in enumerate(lines) if number > begin and line.startswith(last))]


REPAIR = """\
The set top, 8:20 h after the pour
  It is                               dished, 2 mm (1 to 4)
  Dish: half-way in below the rim     1.4 mm
  Hole: middle below half-way in      0.6 mm
  Highest place over the mean         0.4 mm
  Hidden cavity                       4.0 mL
  Its roof under the top              3 mm
Hot air (estimates)
  At the wax                          200 °C
  Film on the wax                     80 W/m2K
Smallest time
  Levels the dish                     40 s
  Melts through to the cavity         55 s
  Stands level with the cavity full   60 s
  The brim burns the hand (51 °C)     50 s
The top after 60 s of hot air, set again
  It is                               flat
  Dish: half-way in below the rim     0.3 mm
  Hole: middle below half-way in      0.2 mm
  Lower than before, on average       0.4 mm
  Fall since the pour, on average     3.4 mm
  Has set again after                 10 min
  No glass burns the hand after       90 s
  Wax near the room after             2:00 h

Hot air   Melted in     Melted at     Wax surface,  Brim of       Glass
for       the middle    the glass     hottest       the glass     differs by
--------------------------------------------------------------------------------
10 s      0.6 mm        0.4 mm        31 °C         27 °C         4 °C
20 s      1.2 mm        0.8 mm        41 °C         33 °C         8 °C
30 s      1.8 mm        1.2 mm        51 °C         39 °C         12 °C
45 s      2.7 mm        1.8 mm        66 °C         48 °C         18 °C
60 s      3.6 mm        2.4 mm        81 °C         57 °C         24 °C       <
90 s      5.4 mm        3.6 mm        111 °C        75 °C         36 °C
120 s     7.2 mm        4.8 mm        141 °C        93 °C         48 °C
--------------------------------------------------------------------------------
<: all is reached
"""
# 1 in is 25.4 mm, 51 °C are 123.8 °F, 24 K are 43.2 °F.
REPAIR_US = """\
10 s      0.02 in       0.02 in       88 °F         81 °F         7 °F
20 s      1/16 in       1/32 in       106 °F        91 °F         14 °F
30 s      1/16 in       1/16 in       124 °F        102 °F        22 °F
45 s      3/32 in       1/16 in       151 °F        118 °F        32 °F
60 s      5/32 in       3/32 in       178 °F        135 °F        43 °F       <
90 s      7/32 in       5/32 in       232 °F        167 °F        65 °F
120 s     9/32 in       3/16 in       286 °F        199 °F        86 °F
"""


def test_each_row_of_the_repair_has_the_curves_of_its_columns_at_its_time():
    metric = part(repair_text(made_up_repair(), title="Jar", units="metric"), "The set top", "Blow for")
    assert "\n".join(metric) == REPAIR
    us = part(repair_text(made_up_repair(), title="Jar", units="us"), "10 s ", "---")
    assert "\n".join([*us, ""]) == REPAIR_US


def test_a_repair_for_machines_has_each_number_under_its_own_name():
    found = made_up_repair()
    data = repair_data(found)
    assert data["before"] == {
        "verdict": "dished",
        "depth_band_m": [1e-3, 4e-3],
        "dish_m": 1.4e-3,
        "hole_m": 0.6e-3,
        "depth_m": 2e-3,
        "dish_volume_m3": 3e-6,
        "void_volume_m3": 5e-6,
        "highest_over_mean_m": found.levels_from,
        "cavity_volume_m3": 4e-6,
        "cavity_roof_m": 3e-3,
    }
    # The mean lies at (0.048 + 0.49 + 1) / 31 * 10 = 49.6 mm, the highest place at 50 mm: round-off.
    assert found.levels_from == pytest.approx(0.05 - 0.1538 / 3.1, rel=1e-12)
    assert data["after"] == {
        "verdict": "flat",
        "dish_m": 0.3e-3,
        "hole_m": 0.2e-3,
        "sunk_m": 0.4e-3,
        "cavity_volume_m3": 0.5e-6,
        "set_after_s": 600.0,
        "touchable_after_s": 90.0,
        "cool_after_s": 7200.0,
    }
    times = ("levels", "opens", "reaches_all", "hot_to_touch", "shock", "too_hot")
    assert [data[f"{name}_after_s"] for name in times] == [40.0, 55.0, 60.0, 50.0, 105.0, None]
    assert (data["begins_s"], data["needed_s"]) == (30000.0, 60.0)
    for name, expected in (
        ("seconds_s", found.seconds),
        ("melted_in_middle_m", 6e-5 * found.seconds),
        ("melted_at_glass_m", 4e-5 * found.seconds),
        ("surface_C", 21.0 + found.seconds),
        ("rim_C", 21.0 + 0.6 * found.seconds),
        ("glass_differs_K", 0.4 * found.seconds),
    ):
        np.testing.assert_array_equal(data["curves"][name], expected, err_msg=name)


SPREAD = """\
                               as stated      10 %    median      90 %    occurs
--------------------------------------------------------------------------------
First skin at the glass
  Melts again [min]                 60.0      30.0      90.0     120.0      75 %
Setting [h:mm since the pour]
  Rim set                           1:06      0:33      1:39      2:12      75 %
  Wick free until                   1:12      0:36      1:48      2:24      75 %
  Top closed                        1:18      0:39      1:57      2:36      75 %
  Fully set                         1:24      0:42      2:06      2:48      75 %
  Top has sunk for good             1:30      0:45      2:15      3:00      75 %
  As solid as it gets               1:36      0:48      2:24      3:12      75 %
  May be lidded                     1:42      0:51      2:33      3:24      75 %
Top and inside (estimates)
  Dish: half-way in below the        3.6       1.8       5.4       7.2      75 %
  rim [mm]
  Hole: middle below half-way        3.8       1.9       5.7       7.6      75 %
  in [mm]
  Middle below the rim [mm]          4.0       2.0       6.0       8.0      75 %
  Fall of the rim [mm]               4.2       2.1       6.3       8.4      75 %
  Fall of the middle [mm]            4.4       2.2       6.6       8.8      75 %
  Sunk volume [mL]                   4.6       2.3       6.9       9.2      75 %
  Void in the wax [mL]               4.8       2.4       7.2       9.6      75 %
  Of it hidden cavity [mL]           5.0       2.5       7.5      10.0      75 %
Heat
  Through the top [%]                 52        26        78       104      75 %
  Through the side [%]                54        27        81       108      75 %
  Through the base [%]                56        28        84       112      75 %
--------------------------------------------------------------------------------

In how many of the cases           as stated     share
------------------------------------------------------
  The top is flat                        yes      25 %
------------------------------------------------------
"""
VARIED = """\
wax.latent_heat                 90 kJ/kg     128 kJ/kg     170 kJ/kg correlation
films.side_factor                   0.67             1           1.5 estimate
"""


def test_each_row_of_a_spread_has_the_numbers_of_its_answer():
    text = spread_text(made_up_spread(), units="metric")
    assert "\n".join(part(text, "     ", "What the answers")) == SPREAD
    assert "\n".join([*part(text, "wax.latent_heat ", "---"), ""]) == VARIED
    # The larger share first, with the way it goes.
    assert "-films.side_factor 70 %, +wax.latent_heat 20 %, not by" in text
    us = " ".join(spread_text(made_up_spread(), units="us").split())
    # 4 mm are 0.157 in, 5/32; 4.6 mL are 0.156 fl oz.
    assert "Middle below the rim [in] 5/32 3/32 1/4 5/16 75 %" in us
    assert "Sunk volume [fl oz] 0.16 0.08 0.23 0.31 75 %" in us


def test_a_spread_for_machines_has_each_number_under_its_own_name():
    found = made_up_spread()
    data = spread_data(found)
    for one in found.answers:
        assert data["answers"][one.name] == {
            "as_stated": one.nominal,
            "low": one.low,
            "median": one.median,
            "high": one.high,
            "occurs": 0.75,
            "influence": {
                "shares": {"wax.latent_heat": 0.2, "films.side_factor": 0.7},
                "trends": {"wax.latent_heat": 1.0, "films.side_factor": -1.0},
                "unexplained": 0.1,
                "chance": 0.01,
                "degree": 1,
            },
        }
    assert data["chances"] == [{"what": "the top is flat", "as_stated": True, "share": 0.25, "influence": None}]
    assert data["curves"]["middle"] == {
        "as_stated_C": [52.0] * 5,
        "low_C": [50.0] * 5,
        "median_C": [53.0] * 5,
        "high_C": [57.0, 57.25, 57.5, 57.75, 58.0],
    }
    assert (data["seed"], data["refinement"], data["tolerance_K"], data["band"]) == (3, 0.5, 0.8, [0.1, 0.9])
    latent = data["inputs"][0]
    assert (latent["key"], latent["low"], latent["likeliest"], latent["high"]) == (
        "wax.latent_heat",
        90e3,
        128e3,
        170e3,
    )


def test_a_fit_says_of_each_probe_and_event_what_it_was_before_and_after():
    text = " ".join(fit_text(made_up_fit(), units="metric").split())
    assert "films.side_factor 1.000 1.200 1.100 1.300 yes" in text
    # 3 readings over the squares of 1.5 and 2.5.
    assert "axis (0 mm from the axis, 35 mm up): 3 readings from 0:10 to 0:30 h, which count as 1." in text
    assert "root mean square: 4 °C before, 1.00 °C after. high (0 mm from the axis, 50 mm up)" in text
    assert "root mean square: 6 °C before, 2.00 °C after." in text
    assert "top closed: seen at 0:25 ± 0:02 h; computed 0:21 before, 0:24 after." in text
    assert "high 0.5 mm ± 0.2 mm higher" in text
    assert "as if its noise were 2.5 times what it is" in text


def test_a_fit_for_machines_has_each_number_under_its_own_name():
    data = fit_data(made_up_fit())
    (field,) = data["fields"]
    assert (field["before"], field["fitted"], field["low"], field["high"], field["deviation_left"]) == (
        1.0,
        1.2,
        1.1,
        1.3,
        0.4,
    )
    assert data["covariance"] == [[0.16]]
    probes = ("name", "place_m", "readings", "misfit_before_K", "misfit_after_K", "noise_K", "neighbours_factor")
    (jar,) = data["jars"]
    assert [tuple(one[name] for name in probes) for one in jar["probes"]] == [
        ("axis", [0.0, 0.035], 3, 4.0, 1.0, 0.3, 1.5),
        ("high", [0.0, 0.05], 3, 6.0, 2.0, 0.4, 2.5),
    ]
    assert [one["independent_readings"] for one in jar["probes"]] == pytest.approx([3.0 / 1.5**2, 3.0 / 2.5**2])
    assert jar["seen"] == [
        {"what": "top closed", "seen_s": 1500.0, "deviation_s": 120.0, "before_s": 1260.0, "after_s": 1440.0}
    ]
    assert data["thermometer"] == [
        {
            "error": "z", "file": made_up_fit().scenario.where, "probe": "high", "found": 0.5e-3, "deviation": 0.2e-3,
            "expected": 1e-3,
        }
    ]  # fmt: skip
    assert data["runs"] == 7


MELTING = """\
Since the pitcher was put into the water          h:mm         wax
------------------------------------------------------------------
All wax has melted                                0:50       50 °C
Add the oil, out of the bath                      1:10       62 °C
The oil is in: the mix has                        1:10       60 °C
Stirred in                                        1:12
Pour                                              1:40       65 °C
------------------------------------------------------------------
"""


def test_each_moment_of_the_melting_has_its_time_and_the_temperature_of_the_wax():
    text = melting_text(made_up_melting(), units="metric")
    assert "\n".join(part(text, "Since the", "Estimates")) == MELTING
    said = " ".join(text.split())
    assert "800 g of wax in flakes and 70 g of oil" in said
    assert "heaped 100 mm high, the melt stands 64 mm high" in said
    assert "Add the oil, out of the bath 1:10 144 °F" in " ".join(melting_text(made_up_melting(), units="us").split())


def test_the_melting_for_machines_has_each_number_under_its_own_name():
    found = made_up_melting()
    data = melting_data(found)
    moments = ("all_melted_s", "oil_at_s", "stirred_s", "pour_s", "oil_at_C", "after_oil_C", "pour_C", "clear_point_C")
    assert [data[name] for name in moments] == [3000.0, 4200.0, 4320.0, 6000.0, 62.0, 60.0, 65.0, 48.0]
    assert (data["wax_kg"], data["oil_kg"]) == (0.8, 0.07)
    curves = {"time_s": found.time, "wax_C": found.temperature, "around_C": found.water, "melted": found.melted}
    for name, values in {**curves, "level_m": found.level}.items():
        np.testing.assert_array_equal(data["curves"][name], values, err_msg=name)


def test_water_that_is_turned_down_is_told_from_its_first_to_its_last_temperature():
    found = made_up_melting()
    cooled = replace(found, bath=replace(found.bath, water=((0.0, 90.0), (600.0, 80.0), (1200.0, 70.0))))
    assert "water at 90 °C to 70 °C, stirred" in " ".join(melting_text(cooled, units="metric").split())


def test_a_notebook_shows_the_same_bands():
    shown = {
        line.split("  ")[0]: line.split()[-6:] for line in str(made_up_spread()).splitlines() if line.endswith("%")
    }
    assert shown["fully set"] == ["1:24", "0:42", "2:06", "2:48", "75", "%"]


def test_each_row_of_the_pours_has_its_own_temperatures_and_answers():
    study = made_up_pours()
    warm = replace(study, choices=tuple(
        replace(choice, jar=31.0, candidates=tuple(replace(one, jar=31.0, passes=0.625) for one in choice.candidates))
        for choice in study.choices
    ))  # fmt: skip
    rows = list(csv.DictReader(io.StringIO(pour_csv(warm, units="metric"))))
    found = [one for choice in warm.choices for one in choice.candidates]
    assert len(rows) == len(found) == 24
    for row, one in zip(rows, found, strict=True):
        assert (row["place"], row["rejected by"], row["passes in [%]"]) == (one.place, "; ".join(one.rejected), "62.5")
        told = [float(row[f"{name} [°C]"]) for name in ("room", "jar", "pour")]
        assert told == [one.room, 31.0, one.pour]
        # As many decimals as are written.
        assert float(row["middle below rim [mm]"]) == pytest.approx(1e3 * one.answers["depth_m"], abs=6e-5)
        assert float(row["dish [mL]"]) == pytest.approx(1e6 * one.answers["dish_volume_m3"], abs=6e-4)
        assert float(row["cavity [mL]"]) == 1.0
        assert float(row["fully set [s]"]) == pytest.approx(one.answers["fully_set_s"], abs=0.51)
    best = [(choice.place, choice.room, choice.recommended.pour) for choice in warm.choices]
    chosen = [
        (row["place"], float(row["room [°C]"]), float(row["pour [°C]"])) for row in rows if row["recommended"] == "yes"
    ]
    assert chosen == best


@pytest.mark.parametrize(
    ("kind", "found", "told"),
    [
        ("clock", 20.0, "the pour 20 ± 5 s before the zero of the log"),
        ("clock", -20.0, "the pour 20 ± 5 s after the zero of the log"),
        ("reading", 0.5, "axis reads 0.50 °C ± 5.00 °C high"),
        ("reading", -0.5, "axis reads 0.50 °C ± 5.00 °C low"),
        ("r", 2e-3, "axis 2 mm ± 5000 mm further out"),
        ("z", -2e-3, "axis 2 mm ± 5000 mm lower"),
    ],
)
def test_an_error_of_the_thermometer_says_which_way_it_goes(kind, found, told):
    error = Nuisance(kind, -1 if kind == "clock" else 0, 1.0)
    assert told in " ".join(fit_text(replace(made_up_fit(), errors=((error, found, 5.0),)), units="metric").split())


@pytest.mark.parametrize(
    ("link", "way"), [(0.15, "both higher, or both lower,"), (-0.15, "one higher and the other lower")]
)
def test_fields_that_cannot_be_told_apart_say_how_they_go_together(link, way):
    fit = made_up_fit()
    (one,) = fit.fields
    other = replace(one, known=replace(one.known, key="films.top_factor"))
    estimate = replace(fit.estimate, covariance=np.array([[0.16, link], [link, 0.16]]))
    text = " ".join(fit_text(replace(fit, fields=(one, other), estimate=estimate), units="metric").split())
    assert f"cannot be told apart by these data (correlation {link / 0.16:+.2f}): {way} fit equally well" in text


def test_a_rim_that_burns_only_when_all_is_reached_needs_no_warning():
    said = [repair_text(made_up_repair(touch=touch), title="Jar", units="metric") for touch in (59.0, 60.0)]
    assert ["Warning: the brim is hot to the touch after" in " ".join(one.split()) for one in said] == [True, False]
