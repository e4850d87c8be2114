"""What a repair asks of the runs, and what it refuses."""

from dataclasses import replace

import numpy as np
import pytest
from made_up import hollowed

from coolsim.errors import ScenarioError
from coolsim.model.jar import Change
from coolsim.model.places import Places
from coolsim.report.text.repair import blown_text, estimated, repair_data, repair_text, verdict_text, warnings
from coolsim.scenario import with_overrides
from coolsim.solve.simulate import simulate
from coolsim.solve.together import simulate_box
from coolsim.studies.repair.heating import heat, set_again
from coolsim.studies.repair.melted_top import melted_depth
from coolsim.studies.repair.repair import cooler_air, over_films, repair, to_repair
from tests.support.pair import closed_pair

COARSE = {"run.refinement": 0.5, "run.tolerance": "1 K"}
BARE, BOXED = (with_overrides(one, COARSE) for one in closed_pair())
METAL = {"vessel.material": "tinned-steel", "vessel.wall": "0.3 mm", "vessel.base": "0.3 mm", "vessel.height": "70 mm"}


@pytest.fixture(scope="module")
def cooled():
    return simulate(BARE.jar)


@pytest.fixture(scope="module")
def found(cooled):
    return repair(BARE, known=cooled)


@pytest.fixture(scope="module")
def hollow(cooled):
    return hollowed(cooled)


@pytest.fixture(scope="module")
def opened(hollow):
    return repair(BARE, known=hollow)


def changed(found, cooled, changes):
    """The repair of the same cooled jar with other keys."""
    return repair(with_overrides(found.scenario, changes), known=cooled)


def test_the_heat_goes_on_from_the_cooled_jar(cooled):
    heating = heat(BARE.jar, cooled, BARE.hot_air)
    everywhere = np.arange(len(cooled.block))
    assert heating.result.time[0] == cooled.time[-1]
    # 1e-9 K: the way through the enthalpy.
    assert heating.result.temperatures(everywhere)[0] == pytest.approx(cooled.temperatures(everywhere)[-1], abs=1e-9)
    assert heating.result.ledger.closed
    again = set_again(BARE.jar, heating, 45.0)
    assert again.time[0] == cooled.time[-1] + 45.0
    assert again.ledger.closed


def test_melt_goes_over_to_the_heat_of_freezing_and_what_did_not_melt_stays_as_it_was(cooled):
    heating = heat(BARE.jar, cooled, BARE.hot_air)
    again = set_again(BARE.jar, heating, 45.0)
    heated, cells = heating.result, heating.result.wax.cells
    at = float(again.time[0])
    before, after = heated.enthalpy_at(at)[cells], again.history.enthalpy[0][cells]
    temperature = again.temperatures(cells)[0]
    wax = BARE.jar.wax
    liquid = temperature > wax.clear_point + 1.0
    assert liquid.any()
    # Melt keeps its temperature, and holds so much less as it will give off less. 3 %: the heat capacity of mush.
    less = wax.density * (wax.melting_heat - wax.latent_heat)
    assert before[liquid] - after[liquid] == pytest.approx(less, rel=0.03)
    assert less > 2e7
    # At the bottom, where nothing has melted, it is as cold as before: the jar cools by less than 0.1 K in 45 s.
    # With the liquid of the melting curve in place of its own it would be 0.5 K off.
    assert temperature[0] == pytest.approx(cooled.temperatures(cells[0])[-1], abs=0.1)


def test_set_wax_takes_the_heat_of_its_stable_form_to_melt(cooled):
    stable, first = (
        float(melted_depth(heat(changed_to.jar, cooled, changed_to.hot_air).result)[-1].mean())
        for changed_to in (BARE, with_overrides(BARE, {"wax.melting_heat": "128 kJ/kg"}))
    )
    # 162 kJ/kg against 128: the same heat melts less, if not by all of it, since the melt is also warmed.
    assert 0.75 < stable / first < 0.95


def test_what_is_liquid_in_set_wax_does_not_count_as_melted(cooled):
    depth = melted_depth(heat(BARE.jar, cooled, BARE.hot_air).result)
    assert (cooled.temperatures(cooled.wax.cells)[-1] > BARE.jar.wax.freezing[0][0] + 5.0).all()
    assert (depth[0] == 0.0).all()
    assert (depth[-1] > 3e-3).all()


def test_a_boxed_jar_is_taken_out_as_warm_as_it_is():
    boxed = simulate(BOXED.jar)
    result = heat(BOXED.jar, boxed, BOXED.hot_air).result
    assert set(result.parts) == {"wax", "glass", "bench"}
    for part in ("wax", "glass"):
        now, before = (
            one.temperatures(
                np.flatnonzero(np.isin(one.block, [k for k, name in enumerate(one.parts) if name == part]))
            )
            for one in (result, boxed)
        )
        assert now[0] == pytest.approx(before[-1], abs=1e-9)
    bench = np.flatnonzero(result.block == result.parts.index("bench"))
    # 1e-9 K: the way through the enthalpy.
    assert result.temperatures(bench)[0] == pytest.approx(21.0, abs=1e-9)


def test_wax_that_the_room_leaves_partly_liquid_is_firm_before_the_air_is_on(found, cooled):
    assert cooled.solid_share < 0.9
    assert (found.depth[0] == 0.0).all()
    assert found.levelled > 0.0


def test_a_top_without_a_cavity_need_only_be_levelled(found):
    assert found.goals == ("level",)
    assert found.needed == found.reaches == found.levelled
    text = repair_text(found, title="Bare", units="metric")
    assert "  Hidden cavity                       none to speak of: 0.0 mL" in text
    assert "roof" not in text
    assert "Melts through" not in text


def test_all_is_reached_when_the_last_goal_is(opened):
    assert opened.goals == ("level", "open")
    assert opened.needed == opened.reaches == max(opened.levelled, opened.opened)
    depth = np.interp(opened.needed, opened.seconds, opened.depth_in_middle)
    # 0.1 mm: the roof lies over the whole cavity, which is wider than the middle.
    assert depth == pytest.approx(opened.before.cavity_roof, abs=1e-4)


def test_what_has_run_into_the_cavity_is_missing_at_the_top(opened, hollow):
    deep = changed(opened, hollow, {"repair.runs_from": "8 mm"})
    area = deep.before.area
    before, after = (float(np.average(one, weights=area)) for one in (deep.before.level, deep.after.level))
    # Wax is neither added nor taken away: what was hollow is full, but for what the melt hides anew.
    filled = deep.before.cavity_volume - deep.after.cavity_volume
    assert (before - after) * area.sum() == pytest.approx(filled, rel=1e-9)


def test_a_stronger_jet_and_hotter_air_are_quicker(found, cooled):
    for changes in ({"repair.film": "120 W/m2K"}, {"repair.air": "300 °C"}, {"repair.stirring": 10}):
        assert changed(found, cooled, changes).needed < found.needed


def test_a_thin_melt_does_not_level(found, cooled):
    thin, thick = (changed(found, cooled, {"repair.runs_from": one}).levelled for one in ("0 mm", "2 mm"))
    assert thin <= found.levelled < thick


def test_a_cavity_that_takes_much_melt_asks_for_a_deeper_one(cooled):
    much = repair(with_overrides(BARE, {"repair.longest": "15 min"}), known=hollowed(cooled, volume=12e-6))
    assert much.reaches > 1.2 * max(much.levelled, much.opened)


def test_only_what_is_wrong_is_a_goal(hollow):
    level = repair(with_overrides(BARE, {"answers.cavity_from": "20 mL"}), known=hollow)
    assert level.goals == ("level",)
    assert level.opened is None
    # What the melt hides anew cannot fill the old cavity.
    assert level.after.sunk == pytest.approx(-level.after.cavity_volume / level.before.area.sum())


def test_a_top_with_nothing_wrong_is_refused(cooled):
    fine = with_overrides(BARE, {"answers.pit_from": "20 mm", "answers.flat_within": "10 mm"})
    flat = replace(cooled, answers=fine.jar.answers)
    with pytest.raises(ScenarioError, match=r"nothing to repair: the top is flat within 10\.0 mm"):
        repair(fine, known=flat)


def test_a_jar_that_is_not_set_is_refused():
    warm = with_overrides(BARE, {"run.horizon": "2 h"})
    with pytest.raises(ScenarioError, match="not set: when the run ended, 2:00 h after the pour, the wax was not yet"):
        repair(warm)


def test_air_that_never_melts_the_wax_is_a_fault():
    with pytest.raises(ScenarioError) as caught:
        with_overrides(BARE, {"repair.air": "45 °C"})
    assert caught.value.faults == (
        "tumbler-bare.toml: repair.air: found 45 °C, which never melts a wax that is clear at 51 °C, give hotter air.",
    )


def test_air_that_is_too_weak_is_said_so(opened, hollow):
    weak = changed(opened, hollow, {"repair.air": "70 °C", "repair.longest": "2 min"})
    assert weak.needed is weak.after is None
    assert verdict_text(weak, "metric").startswith("No time up to 120 s (repair.longest) will level the dish and melt")
    assert "not within 120 s" in repair_text(weak, title="Weak", units="metric")


def test_a_surface_above_the_flash_point_of_the_oil_is_refused_and_cooler_air_looked_for(found, cooled):
    batch = {"batch.flash_point": "80 °C", "batch.flash_margin": "10 K"}
    hot = changed(found, cooled, batch)
    assert hot.hottest_oil == 70.0
    assert hot.too_hot < hot.reaches
    assert hot.needed is hot.after is None
    cooler = cooler_air(hot, cooled)
    assert cooler.hot_air.air < 200.0
    assert cooler.needed > hot.reaches
    assert np.interp(cooler.needed, cooler.seconds, cooler.surface) <= 70.0
    text = verdict_text(hot, "metric", cooler=cooler)
    assert "hotter than wax with this oil may be, 70 °C (batch.flash_point less batch.flash_margin)" in text
    assert f"With air of {cooler.hot_air.air:.0f} °C it takes {blown_text(cooler.needed)}" in text
    assert "Do not repair this top with hot air." in verdict_text(hot, "metric", cooler=None)
    # 10 K more would not do.
    hotter = changed(found, cooled, batch | {"repair.air": f"{cooler.hot_air.air + 10:.0f} °C"})
    assert hotter.needed is None


def test_warnings_name_what_is_exceeded(found, cooled):
    told = " ".join(warnings(found, "metric"))
    assert "hot to the touch after" in told
    assert "differ by more than 42 °C (vessel.shock_limit)" in told
    assert "no flash point is stated (batch.flash_point)" in told
    assert "wax.highest_temperature" not in told
    limited = changed(found, cooled, {"wax.highest_temperature": "70 °C"})
    assert "above 70 °C (wax.highest_temperature)" in " ".join(warnings(limited, "metric"))
    tough = {"vessel.shock_limit": "400 K", "repair.hot_to_touch": "90 °C", "repair.on_glass": 0}
    unharmed = changed(found, cooled, tough)
    assert not any("touch" in one or "shock_limit" in one for one in warnings(unharmed, "metric"))


def test_a_tin_has_no_shock_and_is_called_metal():
    tin = repair(with_overrides(BARE, {**METAL, "pour.level": "55 mm"}))
    assert tin.shock is None
    text = repair_text(tin, title="Tin", units="metric")
    assert "No metal burns the hand" in text
    assert "the glass" not in text
    assert "Melted at" in text
    assert "the metal" in text


def test_the_smallest_time_is_told_over_the_range_of_the_film(found, cooled):
    weak, strong = over_films(found, cooled)
    assert strong.reaches < found.reaches < weak.reaches
    text = repair_text(found, title="Bare", units="metric", films=(weak, strong))
    expected = f"with 60 W/m2K all is reached after {blown_text(weak.reaches)}, with 120 W/m2K after"
    assert expected in " ".join(text.split())
    assert repair_data(found, films=(weak, strong))["over_films"][1]["reaches_all_after_s"] == strong.reaches
    stated = changed(found, cooled, {"repair.film": "80 W/m2K"})
    assert over_films(stated, cooled) is None
    assert "repair.film" not in estimated(stated)
    assert "repair.air, repair.on_glass" in estimated(stated)


def test_a_top_that_ends_low_or_hollow_is_said_so(found):
    assert "adds no wax" not in verdict_text(found, "metric")
    after = replace(found.after, level=found.after.level - 3e-3, verdict="dished")
    text = verdict_text(replace(found, after=after), "metric")
    assert "So much melt sets dished again" in text
    assert "Hot air adds no wax" in text


def test_seconds_are_rounded_up():
    times = (None, 67.1, 120.0, 120.2, 185.0)
    assert [blown_text(one) for one in times] == ["–", "68 s", "120 s", "2:01 min", "3:05 min"]


def test_data_hold_the_answers_of_the_table(found):
    data = repair_data(found)
    assert data["needed_s"] == found.needed
    assert data["hot_air"]["air_C"] == 200.0
    assert len(data["curves"]["seconds_s"]) == len(found.seconds) == len(data["curves"]["rim_C"])
    assert data["after"]["verdict"] == "flat"


def test_after_a_day_the_jar_is_repaired_as_that_leaves_it(cooled, found):
    # Lidded and on the bench as before: the lid is off again, and nothing else has changed.
    bench = Change(time=3600.0, happens="nothing", foot=BARE.jar.vessel.foot)
    same = repair(replace(BARE, jar=replace(BARE.jar, changes=(bench,))))
    # The steps begin anew at the change.
    assert same.needed == pytest.approx(found.needed, rel=0.02)
    assert same.begins == pytest.approx(found.begins, rel=0.02)
    # A jar that has left its box cools on the bench while the air is on; one that stays on warm board would not.
    draught = replace(bench, air_speed=1.0)
    fast = repair(replace(BARE, jar=replace(BARE.jar, changes=(draught,))))
    assert fast.after.cool_after < 0.8 * same.after.cool_after


def test_of_a_box_the_worst_top_is_repaired():
    places = Places(rows=1, columns=3, length=0.28, width=0.10, pitch_along=0.085, pitch_across=0.09)
    row = replace(BOXED, jar=replace(BOXED.jar, places=places))
    results = simulate_box(row.jar).results
    depths = [result.shrinkage.depth for result in results]
    worst = to_repair(results)
    assert depths[worst] == max(depths)
    assert to_repair(results[::-1]) == len(results) - 1 - worst
    assert repair(row).before.depth == depths[worst]
    # A cavity counts before a dish.
    assert to_repair([results[worst], hollowed(simulate(BARE.jar))]) == 1
