"""The folder figures/, made whole by `python tests/support/figures.py`, and what its pictures show.

`shown.json` beside the pictures holds the digest of each file, and the texts, lines, maps and contours of each figure:
pictures of another matplotlib differ in their bytes, but not in what they show. Of the chart it holds the pours of one
room, and of the bands their first cases, which are soon run again; the animation is looked at itself. The poster rests
on both, and is looked at by its own tests.
"""

import hashlib
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import QuadMesh
from matplotlib.contour import QuadContourSet
from matplotlib.text import Text
from PIL import Image

from coolsim.cli.figures import draw
from coolsim.report.figures.animation import FRAMES, animation_pictures, animation_times
from coolsim.report.figures.batches import draw_batches
from coolsim.report.figures.box import draw_box
from coolsim.report.figures.field_map import FieldMap
from coolsim.report.figures.melt_models import draw_melt_models
from coolsim.report.figures.repair import draw_repair
from coolsim.report.figures.saving import save_figure
from coolsim.report.paper.guess import GuessedJar, draw_guess
from coolsim.report.paper.poster import Poster, draw_poster
from coolsim.report.paper.whatif import draw_what_if
from coolsim.scenario import load_scenario
from coolsim.solve.simulate import simulate
from coolsim.solve.together import simulate_box
from coolsim.studies.checks.melt_models import melt_models
from coolsim.studies.fit.batches import log_path, read_batches
from coolsim.studies.fit.drift import compared, drifts
from coolsim.studies.pour.choose import choose_pour
from coolsim.studies.repair.repair import over_films, repair
from coolsim.studies.spread.spread import spread
from coolsim.studies.workshop.day_plan import begun_at, plan_day
from coolsim.studies.workshop.doubt import doubt_of
from coolsim.studies.workshop.whatif import what_if

TOP = Path(__file__).parents[2]
FOLDER = TOP / "figures"
SHOWN = FOLDER / "shown.json"
PAIR = ("scenarios/tumbler-bare.toml", "scenarios/tumbler-boxed.toml")
BOX = "scenarios/box-3x4.toml"
COMMANDS = (
    ("run", *PAIR, "--figures", "figures"),
    ("convection", *PAIR, "--figures", "figures"),
    ("box", BOX, "--figures", "figures"),
    ("make", "film", *PAIR, "--output", "figures/cooling.gif"),
    ("pour", PAIR[0], "--room", "15C:27C:3K", "--figures", "figures"),
    ("spread", PAIR[1], "--figures", "figures"),
    ("repair", PAIR[0], "--figures", "figures"),
    ("log", PAIR[0], "--figures", "figures"),
    ("whatif", PAIR[0], "--output", "figures/tumbler-bare-whatif.png"),
)
_POINTS = 12
_BLOCKS = (4, 8)
_PICTURES = (0, FRAMES // 2, FRAMES - 1)


@cache
def runs_of_pair():
    """The scenarios of the pair, and their titles with their results."""
    scenarios = [load_scenario(TOP / name) for name in PAIR]
    return scenarios, [(scenario.title, simulate(scenario.jar)) for scenario in scenarios]


def figures_of_pair():
    """The figures of the pair by name, drawn anew."""
    scenarios, runs = runs_of_pair()
    drawn = {}
    for name, figure in draw(runs, scenarios, units="metric", only=()):
        drawn[str(name)] = figure
    drawn["box-3x4-box"] = draw_box(simulate_box(load_scenario(TOP / BOX).jar))
    drawn["convection"] = draw_melt_models([(scenario.title, melt_models(scenario)) for scenario in scenarios])
    bare, (title, result) = scenarios[0], runs[0]
    mended = repair(bare, known=result)
    drawn["tumbler-bare-repair"] = draw_repair(mended, title=title, films=over_films(mended, result))
    batches = compared(bare, read_batches(log_path(TOP / PAIR[0])), "the log")
    drawn["tumbler-bare-log"] = draw_batches(batches, drifts(batches), title=title)
    jars = [
        GuessedJar(title=one.title, stand=stand, scenario=one, result=found)
        for one, (_, found), stand in zip(scenarios, runs, ("bare", "boxed"), strict=True)
    ]
    _, drawn["guess-reveal"], drawn["guess-strip"], _ = draw_guess(jars)
    drawn["tumbler-bare-whatif"] = draw_what_if(what_if(bare))
    return drawn


def poster():
    """The poster of the bare tumbler, with all that `coolsim make poster --start 9:00` puts on it."""
    bare = begun_at(load_scenario(TOP / PAIR[0]), "9:00")
    result = simulate(bare.jar)
    plan = plan_day(bare, result, doubt=doubt_of(bare))
    study = choose_pour(bare, alone=True, rooms=["18 °C", "21 °C", "24 °C"])
    return draw_poster(Poster(scenario=bare, found=result, plan=plan, study=study))[0]


def texts(figure):
    """What is written on a figure, labels of ticks left out."""
    of_ticks = {
        label
        for axes in figure.findobj(Axes)
        for axis in (axes.xaxis, axes.yaxis)
        for tick in (*axis.get_major_ticks(), *axis.get_minor_ticks())
        for label in (tick.label1, tick.label2)
    }
    written = (text.get_text() for text in figure.findobj(Text) if text not in of_ticks)
    return sorted(text for text in written if text.strip())


def whole_lines(figure):
    """The points of each line, in the order of drawing; where it breaks off there are none."""
    found = []
    for axes in figure.axes:
        for line in axes.get_lines():
            x, y = np.asarray(line.get_data(), dtype=float)
            drawn = np.isfinite(x) & np.isfinite(y)
            if drawn.sum() >= _POINTS:
                found.append((x[drawn], y[drawn]))
    return found


def lines(figure):
    """A few points of each line."""
    found = []
    for x, y in whole_lines(figure):
        steps = [round(index * (len(x) - 1) / (_POINTS - 1)) for index in range(_POINTS)]
        found.append([[round(float(values[step]), 4) for step in steps] for values in (x, y)])
    return found


def off_the_line(points, line, size):
    """How far points lie from a line of many points, and its ends from theirs, as shares of a width and a height."""
    marks, path = (np.array(one, dtype=float).T / size for one in (points, line))
    along = np.diff(path, axis=0)
    # The nearest place of each stretch to each point, from 0 to 1 on it.
    to_marks = marks[:, None, :] - path[:-1]
    length = np.maximum((along**2).sum(axis=1), 1e-300)
    nearest = np.clip((to_marks * along).sum(axis=2) / length, 0.0, 1.0)
    away = np.hypot(*np.moveaxis(to_marks - nearest[:, :, None] * along, 2, 0)).min(axis=1)
    return float(max(away.max(), *np.hypot(*(marks[[0, -1]] - path[[0, -1]]).T)))


def maps(figure):
    """Scale, lowest, mean and highest value of each map, scales of colour left out."""
    found = []
    for axes in figure.axes:
        drawn = [(one.values, shown.norm) for shown in axes.findobj(FieldMap) for one in shown.fields]
        if axes.get_label() != "<colorbar>":
            drawn += [(mesh.get_array(), mesh.norm) for mesh in axes.findobj(QuadMesh)]
        for values, norm in drawn:
            values = np.ma.masked_invalid(values).compressed()
            ends = (norm.vmin, norm.vmax)
            found.append([round(float(one), 4) for one in (*ends, values.min(), values.mean(), values.max())])
    return found


def contours(figure):
    """Level and extent of each contour line."""
    found = []
    for axes in figure.axes:
        for drawn in axes.findobj(lambda one: isinstance(one, QuadContourSet) and not one.filled):
            for level, path in zip(drawn.levels, drawn.get_paths(), strict=True):
                if len(path.vertices):
                    corners = (*path.vertices.min(axis=0), *path.vertices.max(axis=0))
                    found.append([round(float(one), 4) for one in (level, *corners)])
    return found


def pours_of_one_room():
    """What the chart rests on in one room: place, pour, time to set [min], middle below the rim [mm], limits."""
    scenario = load_scenario(TOP / PAIR[0])
    with ThreadPoolExecutor(1) as executor:
        study = choose_pour(scenario, rooms=["21 °C"], pours=["60 °C", "64 °C"], executor=executor)
    return [
        [choice.place, one.pour, one.number("fully_set_s") / 60, 1e3 * one.number("depth_m"), list(one.rejected)]
        for choice in study.choices
        for one in choice.candidates
    ]


def first_cases():
    """What the bands rest on: time to set [min] and middle below the rim [mm], as stated and of first draws."""
    with ThreadPoolExecutor(1) as executor:
        found = spread(load_scenario(TOP / PAIR[1]), runs=8, executor=executor)
    return [[row.answers["fully_set_s"] / 60, 1e3 * row.answers["depth_m"]] for row in (found.nominal, *found.rows)]


def film_times():
    """Times of three pictures of the film [s]: the first, one amid it, and the last."""
    _, runs = runs_of_pair()
    return [float(time) for time in animation_times([result for _, result in runs])[list(_PICTURES)]]


def animation_made():
    """Mean colours of parts of these pictures as they are in the folder."""
    with Image.open(FOLDER / "cooling.gif") as file:
        pictures = []
        for number in _PICTURES:
            file.seek(number)
            pictures.append(means(np.asarray(file.convert("RGB"))))
    return pictures


def animation_drawn(times):
    """The same of pictures at some times [s] drawn anew."""
    _, runs = runs_of_pair()
    return [means(picture[:, :, :3]) for picture in animation_pictures(runs, times)]


def means(picture):
    """Mean colours of large parts of a picture: where a letter or a line stands to the pixel changes them little."""
    rows, columns = (
        np.linspace(0, size, parts + 1)[:-1].astype(int) for size, parts in zip(picture.shape[:2], _BLOCKS, strict=True)
    )
    sums = np.add.reduceat(np.add.reduceat(picture.astype(float), rows, axis=0), columns, axis=1)
    counts = np.add.reduceat(np.add.reduceat(np.ones(picture.shape), rows, axis=0), columns, axis=1)
    return sums / counts


def digest(path):
    """Digest of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def make():
    """Make the folder anew."""
    for command in COMMANDS:
        subprocess.run([sys.executable, "-m", "coolsim", *command], cwd=TOP, check=True, stdout=subprocess.DEVNULL)
    save_figure(poster(), FOLDER / "tumbler-bare-poster.png")
    for name, page in figures_of_pair().items():
        if name.startswith("guess-"):
            save_figure(page, FOLDER / f"{name}.png")
    write_shown()


def write_shown():
    """Write down what the folder shows."""
    figures = figures_of_pair()
    shown = {
        "files": {path.name: digest(path) for path in sorted(FOLDER.iterdir()) if path != SHOWN},
        "figures": {
            name: {"texts": texts(one), "lines": lines(one), "maps": maps(one), "contours": contours(one)}
            for name, one in figures.items()
        },
        "pours": pours_of_one_room(),
        "cases": first_cases(),
        "film": film_times(),
    }
    SHOWN.write_text(json.dumps(shown, indent=1, ensure_ascii=False, allow_nan=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    make()
