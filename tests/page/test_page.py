"""The page for the phone as a file: complete, closed in itself, with the numbers of the run."""

import base64
import hashlib
import re
from datetime import date
from html.parser import HTMLParser
from importlib.resources import files

import numpy as np
import pytest
from commands import coarse
from made_up import hollowed
from pages import BARE, BOXED, FRAMES, make, words

from coolsim.answers.verdict import depth_band
from coolsim.report.cautions import cautions
from coolsim.report.figures.cut import cavity_outlines
from coolsim.report.page import data as page_data
from coolsim.report.page.outlines import pictures
from coolsim.report.page.stage import Stage
from coolsim.report.page.write import page_html
from coolsim.report.text.day_plan import plan_cells, plan_names
from coolsim.report.text.limits import breach_notes
from coolsim.report.text.runs import titled_runs
from coolsim.report.wording import top_text
from coolsim.scenario import changed
from coolsim.solve.result import Result
from coolsim.solve.simulate import simulate
from coolsim.studies.pour.choose import choose_pour
from coolsim.studies.workshop.day_plan import RESTS_ON, step_label


def plain(text):
    return text.replace("\u00a0", " ")


class Tags(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.tags = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    handle_startendtag = handle_starttag


@pytest.fixture(scope="module")
def tags(made):
    return Tags(made.text).tags


def test_it_is_one_small_file_that_says_what_it_wrote(made):
    assert made.said == "wrote jar.html\n"
    assert made.file.stat().st_size < 1_500_000


def test_nothing_in_it_leads_away_and_its_policy_allows_no_network(made, tags):
    assert re.findall(r"https?:|//[a-z]", made.text) == []
    assert {tag for tag, _ in tags} & {"iframe", "object", "embed", "form", "base", "img", "audio", "video"} == set()
    led = [
        attrs[name] for _, attrs in tags for name in ("href", "src", "srcset", "xlink:href", "action") if name in attrs
    ]
    assert sorted(led) == ["#day", "data:,"]
    (policy,) = (attrs["content"] for _, attrs in tags if attrs.get("http-equiv") == "Content-Security-Policy")
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    assert "*" not in policy
    for tag in ("style", "script"):
        (text,) = re.findall(rf"<{tag}>(.*?)</{tag}>", made.text, flags=re.S)
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy
    # What would need another entry there.
    assert not any("style" in attrs or name.startswith("on") for _, attrs in tags for name in attrs)


def test_titles_are_texts_wherever_they_stand(made, tags):
    assert [tag for tag, _ in tags].count("script") == 2
    seen = words(made.text)
    for title in (BARE, BOXED):
        assert " ".join(title.split()) in seen
    assert "alert(1)</script>" not in made.text.replace("&lt;/script&gt;", "")
    assert not re.search(r"[<>&]", re.search(r'id="data">(.*?)</script>', made.text).group(1))
    assert made.data["jars"][0]["short"] == "Bare"


def test_what_it_consists_of_is_named_for_who_does_not_see_it(tags):
    named = {attrs["id"] for _, attrs in tags if "id" in attrs}
    assert ("html", {"lang": "en"}) in tags
    assert [tag for tag, _ in tags].count("h1") == 1
    for tag, attrs in tags:
        if tag == "input":
            assert attrs["type"] == "range"
            assert ("label", {"for": attrs["id"]}) in tags
        if "aria-labelledby" in attrs:
            assert attrs["aria-labelledby"] in named
        if tag == "svg":
            assert attrs.get("aria-hidden") == "true" or attrs["role"] == "img"
        if tag == "th":
            assert attrs["scope"] in ("row", "col")
    assert len(named) == sum("id" in attrs for _, attrs in tags)
    assert [attrs["id"] for _, attrs in tags if attrs.get("aria-live")] == ["news"]


def test_the_plan_is_that_of_the_day(made):
    seen, plans = words(made.text), [jar.plan for jar in made.jars]
    for name in plan_names(plans):
        assert step_label(name) in seen
        for cell in plan_cells(name, plans):
            assert plain(cell) in seen
    assert plans[0].cases == 8
    # By the run and its spread, not by the chart beside it.
    for jar in made.jars:
        assert jar.result.events == simulate(jar.scenario.jar).events


def test_where_the_sliders_start_the_numbers_are_those_of_the_run(made):
    for jar, data in zip(made.jars, made.data["jars"], strict=True):
        place = jar.chart.own[0] * len(jar.chart.pours) + jar.chart.own[1]
        assert plain(data["top"][place]) == top_text(jar.result, "metric")
        for name, key in RESTS_ON.items():
            time = jar.number(key)
            if name != "burn":
                assert data["steps"][name]["middle"][place] == pytest.approx(time, abs=0.06)
                step, known = jar.plan.step(name), jar.doubt.answer(key)
                end = min(known.low, time) if name == "wick" else max(known.high, time)
                # Sent to a tenth of a second.
                assert data["steps"][name]["at"][place] == pytest.approx(end, abs=0.06)
                assert step.low == known.low


def test_between_the_rooms_that_were_studied_it_keeps_to_what_it_says(made):
    for jar in made.jars:
        chart = jar.chart
        assert 0.0 < chart.off_time < 0.05
        assert 0.0 < chart.off_depth < 0.5e-3
        assert f"{100.0 * max(one.chart.off_time for one in made.jars):.1f} %" in words(made.text)
        for room, pour in ((1, 2), (5, 0)):
            assert room not in chart.studied
            at = {"room.temperature": chart.rooms[room], "pour.temperature": chart.pours[pour]}
            events = simulate(changed(jar.scenario, at).jar).events
            found = chart.choices[room].candidates[pour]
            for key in ("top_closed_s", "fully_set_s", "top_final_s", "cool_s"):
                own = getattr(events, key.removesuffix("_s"))
                assert found.number(key) == pytest.approx(own, rel=chart.off_time)


def test_a_pour_is_flagged_and_advised_as_the_study_of_the_pour_does(made):
    jar, data = made.jars[0], made.data["jars"][0]
    rooms = [f"{room:g} °C" for room in jar.chart.rooms]
    assert rooms == [f"{room} °C" for room in range(18, 25)]
    study = choose_pour(jar.scenario, alone=True, rooms=["18 °C", "24 °C"], pours=list(jar.chart.pours), workers=1)
    for choice in study.choices:
        room = rooms.index(f"{choice.room:g} °C")
        for pour, candidate in enumerate(choice.candidates):
            place = room * len(jar.chart.pours) + pour
            assert data["breaks"][place] == ", ".join(candidate.rejected)
            said = [plain(data["said"][index]) for index in data["notes"][place]]
            poured = changed(jar.scenario, {"room.temperature": choice.room, "pour.temperature": candidate.pour}).jar
            notes = breach_notes(poured, answers=[candidate.answers])
            assert said == [
                note.removeprefix("Note: ").replace(" (vessel.shock_limit)", "").replace("`", "") for note in notes
            ]
    assert any(data["breaks"])
    assert not all(data["breaks"])


def test_the_pictures_are_those_of_the_run(made):
    for jar, data in zip(made.jars, made.data["jars"], strict=True):
        frames = len(made.data["times"])
        assert FRAMES < frames <= FRAMES + 14
        assert len(data["wax"]) == len(data["bands"]) == len(data["seen"]) == frames
        radius, depth = (1e4 * float(edge[-1]) for edge in (jar.result.wax.r_edges, jar.result.wax.z_edges))
        left, rim = map(int, re.match(r"M(-?\d+) ?(-?\d+)", data["wax"][-1][1]).groups())
        # To a tenth of a millimetre, beside the mean of the outermost column.
        assert left == pytest.approx(-radius, abs=1.0)
        assert rim == pytest.approx(1e4 * jar.result.shrinkage.rim_dip - depth, abs=2.0)
        # Nothing has set at the pour, and all has at the end.
        assert data["wax"][0][3] == ""
        assert data["wax"][-1][2] == ""
        named = {told.rpartition(" ")[0]: frame for frame, told in data["events"]}
        assert 0 < named["Rim set"] < named["Top closed"] < named["Fully set"] < named["Top has sunk for good"] < frames
        assert data["wax"][named["Fully set"] - 1][3] != ""


def test_a_cavity_is_drawn_where_it_is_and_told(made, monkeypatch):
    (jar, _), hollow = made.jars, hollowed(made.jars[0].result)
    top = hollow.shrinkage
    monkeypatch.setattr(Result, "tops_at", lambda run, times: [top for _ in times])
    (picture,) = pictures(hollow, [0.0], [0.0, 100.0])
    start, steps = re.match(r"M(.*?)l(.*?)z", picture.cavity).groups()
    numbers = [list(map(int, re.findall(r"-?\d+", part))) for part in (start, steps)]
    points = np.cumsum(np.reshape(numbers[0] + numbers[1], (-1, 2)), axis=0)
    outline = 1e4 * cavity_outlines(top)[0] * [1.0, -1.0]
    # To a tenth of a millimetre.
    for end in (np.min, np.max):
        assert end(points, axis=0) == pytest.approx(end(outline, axis=0), abs=1.0)
    stage = Stage([jar], [0.0, 100.0], "metric")
    assert "hidden cavity" in stage.key([page_data.Shown(pictures=(picture,), seen=())])
    assert "hidden cavity" not in made.text


def test_care_and_doubt_stand_on_it(made):
    seen = words(made.text)
    runs = titled_runs(
        [(jar.plan.title, jar.result) for jar in made.jars], jars=[jar.scenario.jar for jar in made.jars]
    )
    for caution in cautions(runs, [jar.scenario for jar in made.jars], units="metric"):
        assert caution in seen
    for told in (
        "Computed, not measured.",
        "These figures are computed, not measured",
        "Estimates. These keys",
        "invented",
    ):
        assert told in seen
    for jar in made.jars:
        assert depth_band(jar.result) is not None


def test_all_is_there_without_the_script(made):
    seen = words(made.text)
    for jar, data in zip(made.jars, made.data["jars"], strict=True):
        for frame, told in data["events"][:1]:
            event, time = told.rsplit(" ", 1)
            assert f"{event}, {time}: in the middle {plain(data['seen'][frame][0])}; near the wall" in seen
        for number in jar.chart.studied:
            assert plain(data["advice"][number]) in seen
    # Four key times of each.
    assert made.text.count('clip-path="url(#still') == 8


def test_us_units_a_clock_and_hours_that_end(tmp_path):
    text = coarse("small-tin.toml").replace('units = "us"', 'units = "us"\ndate = "2026-03-14"')
    text = re.sub(r"^\[pour\]$", '[pour]\nclock = "3:10pm"', text, flags=re.M) + '\n[plan]\nopen = "8 am to 6 pm"\n'
    done, jars = make(tmp_path, {"tin": text}, "--rooms", "68F,72F", "--pours", "150F", "--middle", "--workers", "1")
    assert done.exit_code == 0, done.stderr
    (jar,) = jars
    page = (tmp_path / "tin-page.html").read_text(encoding="utf-8")
    seen = words(page)
    assert jar.plan.day == date(2026, 3, 14)
    for told in ("3:10 pm", "Room at 70 °F", "After closing: leave it overnight, from 8:00 am.", "1 7/16 in"):
        assert told in seen, told
    assert " mm" not in seen
    assert "°C" not in seen
    assert [f"{degrees:g} °F" for degrees in (68, 69, 70, 71, 72)] == [
        plain(one) for one in re.findall(r'"rooms":\[(.*?)\]', page)[0].replace('"', "").split(",")
    ]


def test_a_room_by_the_clock_and_a_day_with_changes_have_no_slider_for_the_room(tmp_path):
    done, jars = make(tmp_path, {"night": coarse("night-at-14.toml")}, "--pours", "58C", "--middle", "--workers", "1")
    assert done.exit_code == 0, done.stderr
    (jar,) = jars
    page = (tmp_path / "night-page.html").read_text(encoding="utf-8")
    assert '<div class="slider" hidden>' in page
    assert [f"{room:.1f}" for room in jar.chart.rooms] == ["20.5"]
    assert len(jar.chart.pours) == 2
    seen = words(page)
    assert "What stands round the jar is drawn as it is at the pour." in seen
    assert "Out of the box" in seen


@pytest.mark.parametrize(
    ("texts", "options", "code", "said"),
    [
        (
            {"six": "box-2x3.toml"},
            (),
            3,
            "six.toml: places: found a box of 6 jars, but the page shows one jar, or two side by side. Give a scenario"
            " of one of them: leave [places] out, and say in [surround] what stands round it.",
        ),
        (
            {"bare": "tumbler-bare.toml", "cold": "cold-room.toml"},
            (),
            3,
            "cold.toml: room.temperature: found 14 °C, but 21 °C in bare.toml; the sliders of the page move both jars"
            " together. State the same in both.",
        ),
        (
            {"a": "tumbler-bare.toml", "b": "tumbler-bare.toml", "c": "tumbler-bare.toml"},
            (),
            2,
            "FILE: found 3 scenarios; give one or two.",
        ),
        ({"a": "tumbler-bare.toml"}, ("-o", "a.pdf"), 2, "--output: found 'a.pdf'; give a name that ends in .html."),
        ({"a": "tumbler-bare.toml"}, ("--pours", "20C"), 2, "--pours: "),
    ],
)
def test_what_one_page_cannot_show_is_refused_before_the_run(texts, options, code, said, tmp_path):
    texts = {name: coarse(text) for name, text in texts.items()}
    done, jars = make(tmp_path, texts, *options)
    assert (done.exit_code, jars) == (code, ())
    assert said in " ".join(done.stderr.split())
    assert len(list(tmp_path.iterdir())) == len(texts)


def test_the_same_jars_give_the_same_text(made, monkeypatch):
    monkeypatch.setattr(page_data, "FRAMES", FRAMES)
    assert page_html(made.jars, units="metric") == made.text


def test_the_files_it_is_made_of_come_with_the_package():
    for name in ("page.html", "page.css", "page.js"):
        assert (files("coolsim.report.page") / name).is_file()
