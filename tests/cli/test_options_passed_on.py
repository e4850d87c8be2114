"""What a command is told reaches what it calls: each option arrives, in the place where it belongs. No run is made."""

import json
from dataclasses import dataclass
from types import SimpleNamespace

import pytest
from commands import SCENARIOS, names
from made_up import made_up_fit, made_up_melting, made_up_pours, made_up_repair, made_up_spread

from coolsim.errors import SolverError
from coolsim.studies.fit.parameters import Seen


class Calls:
    """Stands for functions and keeps what they were called with."""

    def __init__(self, monkeypatch):
        self.monkeypatch = monkeypatch
        self.given = {}

    def catch(self, target, answer=None):
        """Let a function keep its arguments and give this answer; without one the command ends there."""

        def called(*arguments, **options):
            self.given[target.rpartition(".")[2]] = (arguments, options)
            if answer is None:
                raise SolverError("ended by this test")
            return answer

        self.monkeypatch.setattr(target, called)


@pytest.fixture
def calls(monkeypatch):
    return Calls(monkeypatch)


def ended(done):
    assert (done.exit_code, done.stderr) == (4, "error: ended by this test\n")


@pytest.fixture
def studies(calls):
    """Catch the runs of studies: the command ends there."""
    calls.catch("coolsim.studies.sweep.sweep.run_studies")
    return lambda: calls.given["run_studies"]


def test_spread(coolsim, bare, calls, studies):
    calls.catch("coolsim.studies.spread.spread.spread_study", "a study")
    more = ("--own-grid", "--seed", 3, "--runs", 16, "--workers", 2, "--vary", "films.side_factor")
    ended(coolsim("spread", bare, "--vary", "wax.latent_heat=110 kJ/kg:150 kJ/kg", *more, "--no-figures"))
    _, options = calls.given["spread_study"]
    assert options == {
        "own_grid": True,
        "seed": 3,
        "runs": 16,
        "keys": ["wax.latent_heat", "films.side_factor"],
        "ranges": {"wax.latent_heat": (110e3, 150e3)},
    }
    (asked,), options = studies()
    assert (asked, options["workers"], options["on_run"]) == (["a study"], 2, None)
    ended(coolsim("spread", bare, "--no-figures"))
    _, options = calls.given["spread_study"]
    assert (options["own_grid"], options["seed"], options["runs"], studies()[1]["workers"]) == (False, 0, 72, None)


POUR = ("--room", "18C,22C", "--pour", "56C,60C", "--jar", "30C", "--within", "9 h", "--margin", "5 K", "--workers", 2)


@pytest.mark.parametrize("own_grid", [False, True])
def test_pour(coolsim, bare, calls, studies, own_grid):
    calls.catch("coolsim.studies.pour.choose.pour_study", "a study")
    ended(coolsim("pour", bare, *POUR, "--no-figures", *(["--own-grid"] if own_grid else [])))
    (scenario,), options = calls.given["pour_study"]
    assert scenario.where == str(bare)
    wanted = {"time_allowed": 9 * 3600.0, "margin": 5.0, "own_grid": own_grid, "jar": "30C"}
    assert {name: options[name] for name in wanted} == wanted
    assert [one.replace(" ", "").replace("°", "") for one in options["rooms"]] == ["18C", "22C"]
    assert [one.replace(" ", "").replace("°", "") for one in options["pours"]] == ["56C", "60C"]
    (asked,), options = studies()
    assert (asked, options["workers"]) == (["a study"], 2)


def test_pour_with_a_jar_and_cases(coolsim, bare, calls):
    study = made_up_pours()
    calls.catch("coolsim.studies.sweep.sweep.run_studies", [study])
    calls.catch("coolsim.studies.pour.cases.pours_in_most_cases")
    ended(coolsim("pour", bare, *POUR, "--cases", 9, "--share", "90 %", "--no-figures"))
    (given,), options = calls.given["pours_in_most_cases"]
    assert given is study
    assert (options["cases"], options["share"], options["workers"]) == (9, 0.9, 2)


def test_sweep(coolsim, bare, boxed, calls):
    calls.catch("coolsim.studies.sweep.sweep.sweep")
    over = ("--over", "room.temperature=18C,22C", "--over", "vessel.wall=2mm:3mm:1mm")
    ended(coolsim("sweep", bare, boxed, *over, "--workers", 2))
    (points,), options = calls.given["sweep"]
    assert options["workers"] == 2
    assert [point.scenario for point in points] == [0] * 4 + [1] * 4
    found = [[value.replace(" ", "").replace("°", "") for _, value in point.at] for point in points[:4]]
    assert found == [["18C", "2mm"], ["18C", "3mm"], ["22C", "2mm"], ["22C", "3mm"]]


def test_fit(coolsim, bare, calls):
    log = SimpleNamespace(probes=(), end=7200.0, where="log.csv")
    calls.catch("coolsim.studies.fit.log.read_log", log)
    calls.catch("coolsim.studies.fit.fit.fit_measured")
    bare.with_name("log.csv").write_text("time [min],axis [°C]\n", encoding="utf-8")
    ended(
        coolsim(
            "fit", bare, "log.csv", "--probe", "axis=0 mm,35 mm", "--probe", "cup=mean", "--log-time", "min",
            "--log-temperature", "F", "--pour-at", "9:30", "--from", "4 min", "--until", "2 h", "--lag", "25 s",
            "--place-error", "2 mm", "--reading-error", "0.25 K", "--clock-error", "45 s", "--workers", 2,
            "--fields", "films.side_factor, wax.latent_heat", "--range", "films.side_factor=0.5:2",
            "--seen", "rim set=25 min±5 min", "--no-figures",
        )
    )  # fmt: skip
    (path, places), options = calls.given["read_log"]
    assert path.name == "log.csv"
    assert places["axis"] == pytest.approx((0.0, 0.035))
    assert places["cup"] == "mean"
    assert (options["time_unit"], options["temperature_unit"], options["pour_at"]) == ("min", "F", "9:30")
    assert (options["first"], options["last"], options["required"]) == (240.0, 7200.0, ("axis", "cup"))
    # 15 K beyond the room and the pour.
    assert options["between"] == pytest.approx((6.0, 75.0))
    ((measured,),), options = calls.given["fit_measured"]
    assert (measured.name, measured.log) == ("bare", log)
    trust = options["thermometer"]
    assert (trust.place, trust.reading, trust.clock, trust.lag) == pytest.approx((2e-3, 0.25, 45.0, 25.0))
    assert (options["workers"], options["fields"]) == (2, ["films.side_factor", "wax.latent_heat"])
    assert options["ranges"] == {"films.side_factor": (0.5, 2.0)}
    assert measured.seen == (Seen("rim set", 1500.0, 300.0),)


def test_repair(coolsim, bare, calls):
    calls.catch("coolsim.cli.commands.repair.run_each", [("cooled",)])
    calls.catch("coolsim.studies.repair.repair.repair")
    ended(coolsim("repair", bare, "--air", "150 C", "--film", "100 W/m2K", "--no-figures"))
    (scenario,), options = calls.given["repair"]
    assert (scenario.hot_air.air, scenario.hot_air.film, options["known"]) == (150.0, 100.0, "cooled")


def test_box(coolsim, calls):
    six = SCENARIOS / "box-2x3.toml"
    calls.catch("coolsim.studies.workshop.boxes.box_fillings")
    calls.catch("coolsim.studies.workshop.boxes.box_spacings")
    calls.catch("coolsim.solve.together.simulate_box", "run")
    calls.catch("coolsim.studies.workshop.boxes.box_answers")
    ended(coolsim("box", six, "--within", "10 h", "--fillings"))
    assert calls.given["box_fillings"][1]["time_allowed"] == 36000.0
    ended(coolsim("box", six, "--within", "11 h", "--spacing", "0mm,10mm"))
    (_, distances), options = calls.given["box_spacings"]
    assert [one.replace(" ", "") for one in distances] == ["0mm", "10mm"]
    assert options["time_allowed"] == 39600.0
    ended(coolsim("box", six, "--within", "12 h", "--no-figures"))
    assert calls.given["box_answers"] == (("run",), {"time_allowed": 43200.0})


def test_animate(coolsim, bare, calls):
    calls.catch("coolsim.cli.papers.film.run_each", [("run",)])
    calls.catch("coolsim.report.figures.animation.save_animation")
    ended(
        coolsim("make", "film", bare, "--frames", 6, "--seconds", 3, "--until", "2 h", "--units", "us", "-o", "a.gif")
    )
    (path, runs), options = calls.given["save_animation"]
    assert (path.name, runs) == ("a.gif", [("Tumbler, bare on the bench", "run")])
    wanted = {"frames": 6, "seconds": 3.0, "until": 7200.0, "units": "us"}
    assert {name: options[name] for name in wanted} == wanted


@dataclass
class Pages:
    """Stands for a handout."""

    left_out: tuple = ()


@pytest.mark.parametrize(
    ("asked", "paper", "units"),
    [
        ([], None, "metric"),
        (["--paper", "letter"], "letter", "metric"),
        (["--paper", "a4", "--units", "us"], "a4", "us"),
    ],
)
def test_handout(coolsim, bare, calls, asked, paper, units):
    calls.catch("coolsim.cli.papers.handout._work_out", Pages())
    calls.catch("coolsim.cli.papers.handout._tell", "told")
    calls.catch("coolsim.report.paper.handout.write_handout")
    ended(
        coolsim(
            "make", "handout", bare, *asked, "--rooms", "18C,22C", "--pours", "56C,60C", "--workers", 2, "-o", "h.pdf"
        )
    )
    (asked_for, _, rooms, pours, _), _ = calls.given["_work_out"]
    assert [one.replace(" ", "").replace("°", "") for one in (*rooms, *pours)] == ["18C", "22C", "56C", "60C"]
    assert asked_for.workers == 2
    assert calls.given["_tell"][0][2] == units
    (_, path), options = calls.given["write_handout"]
    assert (path.name, options) == ("h.pdf", {"short": False, "paper": paper, "units": units})


def test_sheet(coolsim, bare, calls):
    calls.catch("coolsim.cli.papers.workday.run_each", [("run",)])
    calls.catch("coolsim.studies.workshop.doubt.doubt_of", "doubt")
    calls.catch("coolsim.report.paper.batch_sheet.write_batch_sheet")
    asked = ("--paper", "letter", "--units", "us", "--workers", 2, "--output", "s.pdf")
    ended(coolsim("make", "sheet", bare, "--jars", 3, *asked))
    (scenario, result, path), options = calls.given["write_batch_sheet"]
    assert (scenario.batch.jars, result, path.name) == (3, "run", "s.pdf")
    assert options == {"doubt": "doubt", "paper": "letter", "units": "us"}
    assert calls.given["doubt_of"] == ((scenario,), {"workers": 2, "on_run": None})
    ended(coolsim("make", "sheet", bare, "--middle", "--output", "s.pdf"))
    assert calls.given["write_batch_sheet"][1]["doubt"] is None


def test_schedule(coolsim, bare, calls):
    calls.catch("coolsim.cli.papers.workday.run_each", [("run",)])
    calls.catch("coolsim.studies.workshop.doubt.doubt_of", "doubt")
    calls.catch("coolsim.studies.workshop.day_plan.plan_day")
    ended(
        coolsim(
            "day", "--only", "plan", bare, "--start", "9:15", "--date", "2026-03-14", "--units", "us", "--workers", 2
        )
    )
    (scenario, results), options = calls.given["plan_day"]
    assert (scenario.plan.start, scenario.date.isoformat()) == (33300.0, "2026-03-14")
    assert (results, options["units"], options["before"].pour) == (("run",), "us", 4500.0)
    assert options["doubt"] == "doubt"
    (asked_for,), how = calls.given["doubt_of"]
    assert (asked_for.where, how) == (scenario.where, {"workers": 2, "on_run": None})


def test_melting(coolsim, bare, calls):
    calls.catch("coolsim.studies.workshop.melting.melt_batch")
    ended(
        coolsim("day", "--only", "melting", bare, "--melt", "900 g", "--water", "80 C", "--units", "us", "--no-figures")
    )
    (scenario,), options = calls.given["melt_batch"]
    assert (scenario.batch.melt, scenario.bath.water[0][1], options) == (pytest.approx(0.9), 80.0, {"units": "us"})


@pytest.fixture
def answered(calls):
    """Every study answers at once with numbers that are made up."""
    calls.catch("coolsim.studies.spread.spread.spread", made_up_spread())
    calls.catch("coolsim.studies.pour.choose.choose_pour", made_up_pours())
    calls.catch("coolsim.studies.fit.fit.fit_measured", made_up_fit())
    calls.catch("coolsim.studies.fit.log.read_log", made_up_fit().jars[0].measured.log)
    calls.catch("coolsim.studies.workshop.melting.melt_batch", made_up_melting())
    calls.catch("coolsim.cli.commands.repair.run_each", [("cooled",)])
    calls.catch("coolsim.studies.repair.repair.repair", made_up_repair())
    calls.catch("coolsim.studies.repair.repair.over_films", ())
    calls.monkeypatch.setattr("coolsim.studies.repair.repair.over_films", lambda *_: None)
    calls.monkeypatch.setattr("coolsim.report.text.runs.titled_runs", lambda *_, **__: ())


@pytest.mark.usefixtures("answered")
@pytest.mark.parametrize(
    ("command", "more", "file"),
    [
        ("spread", ["--estimates"], "bare-spread"),
        ("pour", ["--room", "15C:25C:5K"], "bare-pour"),
        ("fit", ["log.csv"], "bare-fit"),
        ("day", ["--only", "melting"], "bare-melting"),
        ("repair", [], "bare-repair"),
    ],
)
def test_figure_and_table_have_the_units_and_the_format_that_were_asked_for(coolsim, bare, folder, command, more, file):
    (folder / "log.csv").write_text("time [min],axis [°C]\n", encoding="utf-8")
    asked = (command, bare, *more, "--units", "us", "--format", "svg", "--figures", "here")
    done = coolsim(*asked)
    assert done.exit_code == 0, done.stderr
    assert done.stderr.startswith(f"wrote here/{file}.svg\n")
    assert names(folder / "here") == [f"{file}.svg"]
    drawn = (folder / "here" / f"{file}.svg").read_text(encoding="utf-8")
    assert drawn.startswith("<?xml")
    for text in (drawn, done.stdout):
        assert "°F" in text
        assert "°C" not in text


def test_each_run_of_a_comparison_keeps_its_result_its_error_and_its_range(coolsim, bare, boxed, monkeypatch):
    def name(jar):
        return "bare" if jar.surround is None else "boxed"

    given = {}

    def answers_data(runs, **options):
        given.update(runs=runs, **options)
        return [{"of": result} for _, result in runs]

    monkeypatch.setattr("coolsim.solve.simulate.simulate", lambda jar, **_: f"run of {name(jar)}")
    monkeypatch.setattr("coolsim.studies.checks.grid_error.grid_errors", lambda jar, known, **_: [(name(jar), *known)])
    monkeypatch.setattr(
        "coolsim.studies.checks.melt_range.melt_ranges",
        lambda scenario, known, **_: [("range", name(scenario.jar), *known)],
    )
    monkeypatch.setattr("coolsim.report.text.runs.answers_data", answers_data)
    done = coolsim("run", bare, boxed, "--melt-range", "--no-figures", "--json")
    runs = json.loads(done.stdout)["runs"]
    assert [(one["file"], one["of"]) for one in runs] == [(str(bare), "run of bare"), (str(boxed), "run of boxed")]
    assert given["errors"] == [("bare", "run of bare"), ("boxed", "run of boxed")]
    assert given["melt_ranges"] == [("range", "bare", "run of bare"), ("range", "boxed", "run of boxed")]
    assert [name(jar) for jar in given["jars"]] == ["bare", "boxed"]
    assert [title for title, _ in given["runs"]] == ["Tumbler, bare on the bench", "Tumbler, one of six in an open box"]


def test_curves_are_those_of_the_points_and_in_the_units_that_were_asked_for(coolsim, bare, calls, monkeypatch):
    bare.write_text(
        bare.read_text(encoding="utf-8") + '\n[report.probes]\ncore = ["0 mm", "30 mm"]\n', encoding="utf-8"
    )
    calls.catch("coolsim.report.text.curves.curves_csv")
    monkeypatch.setattr("coolsim.solve.simulate.simulate", lambda *_, **__: "run")
    monkeypatch.setattr("coolsim.report.text.runs.answers_table", lambda *_, **__: "table")
    ended(coolsim("run", bare, "--csv", "curves.csv", "--units", "us", "--no-figures"))
    (result,), options = calls.given["curves_csv"]
    assert (result, options) == ("run", {"units": "us", "points": {"core": pytest.approx((0.0, 0.03))}})


def test_each_figure_is_drawn_by_its_own_function_in_the_units_that_were_asked_for(monkeypatch):
    from coolsim.cli import figures
    from coolsim.scenario import built_in_pair, with_overrides

    functions = {
        "temperature-maps": "sections", "set-times": "set_map", "cooling-curves": "cooling_curves",
        "solid-front": "fronts", "heat-shares": "heat_shares", "tops": "tops", "top-profiles": "top_profiles",
    }  # fmt: skip
    for name in functions.values():
        monkeypatch.setattr(figures, f"draw_{name}", lambda *given, name=name, **options: (name, given, options))
    bare, boxed = built_in_pair()
    probes = {"report.probes": {"core": ["0 mm", "30 mm"]}}
    first = with_overrides(bare, {"report.map_times": ["1 h", "2 h"], "pour.clock": "9:00", **probes})
    other = with_overrides(boxed, {"report.map_times": ["3 h"], **probes})
    found = {str(name): drawn for name, drawn in figures.draw("runs", [first, other], units="us", only=())}
    assert {name: drawn[0] for name, drawn in found.items()} == functions
    for name, (_, given, options) in found.items():
        maps = ((3600.0, 7200.0),) if name == "temperature-maps" else ()
        points = {"points": {"core": pytest.approx((0.0, 0.03))}} if name == "cooling-curves" else {}
        clocks = {"poured": [9 * 3600.0, None]} if name == "solid-front" else {}
        assert (given[0], tuple(map(tuple, given[1:])), options) == ("runs", maps, {"units": "us", **points, **clocks})
    # Points that differ are left out.
    apart = [first, with_overrides(boxed, {"report.map_times": ["3 h"]})]
    ((_, curves),) = figures.draw("runs", apart, units="us", only=("cooling-curves",))
    assert curves[2]["points"] == {}
