"""Each public name as a user with strict types would use it: mypy reads it with the package, nothing runs it."""

# ruff: noqa: F841 - the types are the use.

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

from coolsim import (
    Amounts,
    Batch,
    Bath,
    BoxAnswers,
    BoxResult,
    BoxTrial,
    Change,
    CoolsimError,
    DayPlan,
    Events,
    HotAir,
    Inert,
    Jar,
    Lid,
    MaterialError,
    Melting,
    MeltModels,
    OutputError,
    Places,
    PourStudy,
    Preparation,
    Prices,
    Problem,
    Repair,
    RepairedTop,
    Result,
    ResultFileError,
    Room,
    Scenario,
    ScenarioError,
    SolverError,
    Spread,
    Support,
    Surround,
    Sweep,
    UnitError,
    Vessel,
    WaterBath,
    Wax,
    Wick,
    amounts,
    answers_data,
    answers_table,
    box_answers,
    box_fillings,
    box_spacings,
    built_in_pair,
    calendar_text,
    catalogue_inert,
    catalogue_wax,
    choose_pour,
    curves_csv,
    draw_batch_sheet,
    draw_box,
    draw_cooling_curves,
    draw_freezing,
    draw_fronts,
    draw_heat_shares,
    draw_melt_models,
    draw_melting,
    draw_repair,
    draw_sections,
    draw_set_map,
    draw_spread,
    draw_top_profiles,
    draw_tops,
    kinds_of,
    label_text,
    load_results,
    load_scenario,
    melt_batch,
    melt_models,
    melt_range,
    plan_day,
    pours_in_most_cases,
    repair,
    save_figure,
    save_results,
    scenario_from_data,
    simulate,
    simulate_box,
    simulate_many,
    spread,
    starter_text,
    sweep,
    sweep_points,
    with_fragrance,
    with_overrides,
)


def use() -> None:
    bare, boxed = built_in_pair()
    mine: Scenario = with_overrides(bare, {"pour.temperature": "68 °C"})
    again: Scenario = scenario_from_data(mine.data, where="here")
    jar: Jar = mine.jar
    wax: Wax = with_fragrance(catalogue_wax("paraffin"), 0.05)
    glass: Inert = catalogue_inert("glass")
    lid: Lid | None = jar.lid
    changes: tuple[Change, ...] = jar.changes
    vessel: Vessel = jar.vessel
    support: Support = jar.support
    surround: Surround | None = boxed.jar.surround
    water: WaterBath | None = jar.water
    room: Room = jar.room
    result: Result = simulate(jar)
    both: tuple[Result | CoolsimError, ...] = simulate_many([jar, jar])
    assert both[0] is not both[1]
    events: Events | None = result.events
    html: str = result._repr_html_()
    runs = [("Bare", result)]
    text: str = answers_table(runs, units="us")
    data = answers_data(runs)
    csv: str = curves_csv(result)
    for figure in (
        draw_batch_sheet(mine, result),
        draw_cooling_curves(runs),
        draw_fronts(runs),
        draw_heat_shares(runs),
        draw_sections(runs, [60.0]),
        draw_set_map(runs),
        draw_top_profiles(runs),
        draw_tops(runs),
    ):
        path: Path = save_figure(figure, "a.png")
    saved: Path = save_results("a.npz", [(mine, result)])
    loaded: list[tuple[Scenario, Result]] = load_results(saved)
    batch: Batch | None = mine.batch
    weighed: Amounts = amounts(with_overrides(mine, {"batch.jars": 6}))
    wick: Wick = mine.wick
    prices: Prices = mine.prices
    bath: Bath = mine.bath
    melted: Melting = melt_batch(mine)
    save_figure(draw_melting(melted), "d.png")
    save_figure(draw_freezing([mine.plain_wax]), "f.png")
    span = melt_range(mine, known=result)
    melts: MeltModels = melt_models(mine)
    save_figure(draw_melt_models([("Bare", melts)]), "b.png")
    box = Places(rows=2, columns=3, length=0.29, width=0.195, pitch_along=0.09, pitch_across=0.09)
    names: list[str] = [kind.name for kind in kinds_of(box)]
    six: BoxResult = simulate_box(replace(jar, surround=surround, places=box))
    corner: Result = six.at((1, 1))
    late: BoxAnswers = box_answers(six, time_allowed=12 * 3600.0)
    tried: tuple[BoxTrial, ...] = box_fillings(boxed) + box_spacings(boxed, ["5 mm"])
    save_figure(draw_box(six), "c.png")
    with ThreadPoolExecutor() as pool:
        rows: Sweep = sweep(sweep_points([mine], {"room.temperature": ["18 °C"]}), executor=pool)
        study: PourStudy = choose_pour(mine, executor=pool)
        often: PourStudy = pours_in_most_cases(study, executor=pool)
        bands: Spread = spread(mine, runs=8, executor=pool)
    save_figure(draw_spread(bands), "c.png")
    first: Mapping[str, float | str | bool | None] | None = rows[0].answers
    before = Preparation(melted=3600.0, oil=4500.0, stirred=4620.0, pour=5400.0)
    day: DayPlan = plan_day(mine, result, doubt=bands, before=before, units="us")
    label: str = label_text(mine, weighed)
    planned: str = calendar_text(mine, day)
    air: HotAir = mine.hot_air
    mended: Repair = repair(mine, known=result)
    flat: RepairedTop | None = mended.after
    save_figure(draw_repair(mended, title="Bare"), "d.png")
    starter: str = starter_text()
    problem: Problem | None = None
    try:
        load_scenario("jar.toml")
    except (ScenarioError, MaterialError, UnitError, SolverError, OutputError, ResultFileError, CoolsimError) as error:
        print(error)
