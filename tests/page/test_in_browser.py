"""The page for the phone in a real browser, without a screen: what is seen, pressed, moved, printed and sent."""

import base64
import calendar
import json
import re
import shutil
import time

import pytest
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from coolsim.report.text.day_plan import plan_cells, plan_names
from coolsim.scenario import changed, with_overrides
from coolsim.solve.simulate import simulate
from coolsim.studies.workshop.day_plan import plan_day

FLAGS = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking"
    " --disable-component-update --disable-sync --disable-dev-shm-usage"
)
WIDTHS = (360, 412, 768, 1024, 1600)
CLOCK = f'"clock":{15 * 3600 + 600},"day":"2026-12-30","open":[{8 * 3600},{18 * 3600}]'
LONG = 20.0  # s; it only ends a test that fails.


class Page:
    """The page in the browser."""

    def __init__(self, driver, file):
        self.driver, self.address = driver, file.as_uri()

    def ask(self, command, **given):
        return self.driver.execute_cdp_cmd(command, given)

    def open(self, *, forget=True):
        self.driver.get(self.address)
        if forget and self.run("const kept = localStorage.length; localStorage.clear(); return kept"):
            self.driver.refresh()
        return self

    def run(self, script, *given):
        return self.driver.execute_script(script, *given)

    def one(self, where):
        return self.driver.find_element(By.CSS_SELECTOR, where)

    def all(self, where):
        return self.driver.find_elements(By.CSS_SELECTOR, where)

    def text(self, where):
        return plain(self.one(where).text)

    def cell(self, step, jar):
        """Read the time of a step, and what stands small below it."""
        cell = f'[data-step="{step}"] [data-cell="{jar}"]'
        return " ".join(filter(None, (self.text(f"{cell} b"), self.text(f"{cell} small"))))

    def when(self, step, jar):
        """Read how long that is from now."""
        return self.text(f'[data-step="{step}"] [data-cell="{jar}"] [data-when]')

    def press(self, where, key, times=1):
        self.one(where).send_keys(key * times)

    @property
    def data(self):
        return json.loads(self.one("#data").get_attribute("textContent"))


def plain(text):
    return text.replace("\u00a0", " ")


def seconds(told):
    """Read a time since the pour."""
    hours, minutes = re.match(r"(\d+):(\d\d) h", told).groups()
    return 3600.0 * int(hours) + 60.0 * int(minutes)


@pytest.fixture(scope="module")
def driver(tmp_path_factory):
    """One browser for all tests, with a profile of its own; never one that is fetched."""
    programs = [shutil.which(name) for name in ("chromium", "chromedriver")]
    if None in programs:
        pytest.skip("needs chromium and chromedriver")
    options = webdriver.ChromeOptions()
    options.binary_location = programs[0]
    for flag in (*FLAGS.split(), f"--user-data-dir={tmp_path_factory.mktemp('profile')}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    started = webdriver.Chrome(options=options, service=webdriver.ChromeService(executable_path=programs[1]))
    yield started
    started.quit()


@pytest.fixture
def page(driver, made):
    """The page as it opens for the first time; the test fails if it says anything on the console."""
    page = Page(driver, made.file)
    page.ask("Emulation.setTimezoneOverride", timezoneId="UTC")
    for kind in ("browser", "performance"):
        driver.get_log(kind)
    yield page.open()
    assert driver.get_log("browser") == []


@pytest.fixture
def phone(page):
    """The same as wide as a small phone."""
    page.ask("Emulation.setDeviceMetricsOverride", width=360, height=740, deviceScaleFactor=2, mobile=True)
    yield page
    page.ask("Emulation.clearDeviceMetricsOverride")


def test_it_starts_with_the_plan_of_the_day(page, made):
    plans = [jar.plan for jar in made.jars]
    for name in plan_names(plans):
        assert [page.cell(name, number) for number in (0, 1)] == [plain(cell) for cell in plan_cells(name, plans)]


@pytest.mark.parametrize(("rooms", "pours"), [(-2, 1), (1, 0), (2, -1)])
def test_keys_move_room_and_pour_to_what_a_run_gives(page, made, rooms, pours):
    for what, steps in (("room", rooms), ("pour", pours)):
        page.press(f"#{what}", Keys.ARROW_RIGHT if steps > 0 else Keys.ARROW_LEFT, abs(steps))
    for number, jar in enumerate(made.jars):
        room, pour = jar.chart.own[0] + rooms, jar.chart.own[1] + pours
        assert page.text(".value[data-room]") == f"{jar.chart.rooms[room]:g} °C"
        assert page.one("#pour").get_attribute("aria-valuetext") == f"{jar.chart.pours[pour]:g}\u00a0°C"
        assert room not in jar.chart.studied
        there = changed(
            jar.scenario, {"room.temperature": jar.chart.rooms[room], "pour.temperature": jar.chart.pours[pour]}
        )
        run = simulate(there.jar)
        plan = plan_day(there, run)
        for name in ("wick", "skin", "still", "top", "lid"):
            # In brackets the middle, if the safe end is another one: within what the page says, and a step of rounding.
            told = page.cell(name, number)
            middle = seconds(told.partition("(")[2] or told)
            exact = plan.step(name).middle
            assert abs(middle - exact) <= jar.chart.off_time * exact + 300.0
        depth = float(re.search(r", ([\d.]+) mm", page.text(f'.answer[data-jar="{number}"] [data-top]')).group(1))
        assert depth == pytest.approx(1e3 * run.shrinkage.depth, abs=1e3 * jar.chart.off_depth + 0.05)
        flag = page.text(f'.answer[data-jar="{number}"] [data-flag]')
        broken = jar.chart.choices[room].candidates[pour].rejected
        assert flag == (f"Breaks a limit: {', '.join(broken)}" if broken else "Keeps all limits")
    page.one("#back").click()
    assert page.text(".value[data-pour]") == "60 °C"


def test_sliders_stop_where_the_chart_ends(page, made):
    page.press("#room", Keys.END)
    page.one('[data-more="room"]').click()
    assert page.text(".value[data-room]") == "24 °C"
    page.press("#pour", Keys.HOME)
    page.one('[data-less="pour"]').click()
    assert page.text(".value[data-pour]") == "57 °C"
    assert page.text("#news").startswith("24 °C, pour 57 °C. Bare: ")


def test_time_moves_the_cut_jar_and_what_is_read_off_it(page):
    def drawn():
        return [shape.get_attribute("d") for shape in page.all('[data-live="0"] [data-front].front')[:1]]

    before, data = drawn(), page.data
    page.press("#time", Keys.HOME)
    assert drawn() == [""]
    assert page.text('[data-seen="0"]') == plain(data["jars"][0]["seen"][0][0])
    rim = data["jars"][0]["events"][0][0]
    page.press("#time", Keys.ARROW_RIGHT, rim)
    assert page.text(".value[data-time]") == plain(data["times"][rim])
    assert page.one("#time").get_attribute("aria-valuetext") == f"{data['times'][rim]} since the pour"
    assert drawn() not in (before, [""])
    frame, told = data["jars"][1]["events"][-1]
    page.one(f'table.events td:nth-of-type(2) [data-time="{frame}"]').click()
    assert page.text(".value[data-time]") == plain(data["times"][frame])
    assert told.endswith(plain(data["times"][frame]).removesuffix(" h"))


def test_poured_now_counts_by_the_clock_and_survives_a_reload(page, made):
    page.one("#poured").click()
    kept = page.run("return JSON.parse(localStorage.getItem(Object.keys(localStorage)[0]))")
    poured = kept["poured"] / 1000.0
    assert 0.0 <= time.time() - poured < 60.0 + LONG
    _shows_the_plan_of(page, made, poured)
    assert page.text("#next").startswith("Next: Bare: Straighten a leaning wick until ")
    # Fifty minutes later, as the browser finds it when the page is opened again.
    page.one("#clear").click()
    page.one("#clear").click()
    _poured_at(page, poured - 3000.0)
    _shows_the_plan_of(page, made, poured - 3000.0)
    assert re.search(r"over for 0:\d\d h$", page.when("wick", 0))
    assert re.search(r"in \d:\d\d h$", page.when("still", 0))
    # Asked before and after: a step may become due in between.
    before = _next(made, poured - 3000.0)
    (following,) = (row.get_attribute("data-step") for row in page.all("tr.next"))
    assert following in (before, _next(made, poured - 3000.0))
    page.one("#earlier").click()
    _shows_the_plan_of(page, made, poured - 3300.0)
    page.one("#clear").click()
    assert page.text("#clear") == "Press again to clear"
    page.one("#clear").click()
    assert page.text("#poured") == "Poured now"
    assert page.cell("still", 0) == plain(plan_cells("still", [made.jars[0].plan])[0])


def _plans(made, poured):
    """Plan the day of jars that were poured at a moment [s since 1970]."""
    at = time.gmtime(poured)
    changes = {"pour.clock": f"{at.tm_hour}:{at.tm_min:02d}", "date": time.strftime("%Y-%m-%d", at)}
    return [plan_day(with_overrides(jar.scenario, changes), jar.result, doubt=jar.doubt) for jar in made.jars]


def _next(made, poured):
    """Find what comes next, by the clock of this computer, for jars that were poured at a moment [s since 1970]."""
    steps = [step for plan in _plans(made, poured) for step in plan.steps if poured + step.time > time.time()]
    return min(steps, key=lambda step: step.time).name


def _shows_the_plan_of(page, made, poured):
    """Compare what stands in the table with the plan of a jar that was poured at a moment [s since 1970]."""
    for number, plan in enumerate(_plans(made, poured)):
        for name in plan_names([plan]):
            if name in ("weigh", "oil"):
                assert not page.one(f'[data-step="{name}"]').is_displayed()
                continue
            assert page.cell(name, number) == plain(plan_cells(name, [plan])[0]), name


def test_in_the_night_in_which_clocks_are_changed_times_are_those_on_the_wall(page):
    after = [seconds(page.cell("lid", number)) for number in (0, 1)]
    # 8 in the evening in Berlin, summer time from 2 in the morning.
    poured = calendar.timegm((2026, 3, 28, 19, 0, 0))
    page.ask("Emulation.setTimezoneOverride", timezoneId="Europe/Berlin")
    _poured_at(page, poured)
    for number in (0, 1):
        at = time.gmtime(poured + after[number] + 2 * 3600)
        assert page.cell("lid", number).startswith(f"29 Mar {at.tm_hour}:{at.tm_min:02d} ")
    assert page.cell("wick", 0).startswith("20:")


def _poured_at(page, moment):
    """Let the page find a moment of the pour [s since 1970] when it is opened again."""
    page.one("#poured").click()
    page.run(
        "const key = Object.keys(localStorage)[0], kept = JSON.parse(localStorage.getItem(key));"
        "localStorage.setItem(key, JSON.stringify({ ...kept, poured: arguments[0] }))",
        1000 * moment,
    )
    page.open(forget=False)


def test_a_clock_that_is_stated_and_hours_that_end_are_those_of_the_plan(page, made, tmp_path):
    text = made.text
    stated = {'"units":"metric"': '"units":"us"', '"clock":null,"day":null,"open":[]': CLOCK}
    for before, after in stated.items():
        assert text.count(before) == 1
        text = text.replace(before, after)
    (tmp_path / "us.html").write_text(text, encoding="utf-8")
    page.driver.get((tmp_path / "us.html").as_uri())
    changes = {"pour.clock": "15:10", "date": "2026-12-30", "plan.open": "8:00 to 18:00"}
    for number, jar in enumerate(made.jars):
        plan = plan_day(with_overrides(jar.scenario, changes), jar.result, doubt=jar.doubt, units="us")
        for name in plan_names([plan]):
            step = plan.step(name)
            (cell,) = plan_cells(name, [plan])
            assert page.cell(name, number) == plain(
                " ".join(filter(None, (cell.removesuffix(" *"), plan.closed(step))))
            )
        assert page.cell("burn", number).startswith("13 Jan 2027 3:10 pm")
        assert any(plan.closed(plan.step(name)) for name in plan_names([plan]))


def test_nothing_but_the_file_is_asked_for(driver, page):
    sent = [json.loads(entry["message"])["message"] for entry in driver.get_log("performance")]
    asked = {one["params"]["request"]["url"] for one in sent if one["method"] == "Network.requestWillBeSent"}
    assert {address for address in asked if not address.startswith("data:")} == {page.address}
    # Nor could it be: the policy is in force.
    page.run("fetch('http://127.0.0.1:9/').catch(() => { document.title = 'refused' })")
    _wait(lambda: driver.title == "refused")
    said = driver.get_log("browser")
    assert said
    assert all("Content Security Policy" in one["message"] for one in said)


def _wait(happened):
    end = time.monotonic() + LONG
    while not happened():
        assert time.monotonic() < end, "it never happened"


def test_titles_are_shown_as_they_were_written(page, made):
    titles = [jar.scenario.title for jar in made.jars]
    assert page.driver.title == " · ".join(titles)
    assert [one.text for one in page.all("h1 bdi")] == titles
    assert len(page.all("script")) == 2


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_nothing_is_wider_than_the_screen(page, colours):
    page.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": colours}])
    try:
        for width in WIDTHS:
            page.ask(
                "Emulation.setDeviceMetricsOverride", width=width, height=800, deviceScaleFactor=1, mobile=width < 700
            )
            over = page.run(
                "const wide = document.documentElement.clientWidth;"
                "return [...document.querySelectorAll('body *')].filter((one) => !one.closest('svg, .skip, .unseen')"
                " && one.getClientRects().length && (one.getBoundingClientRect().right > wide + 0.5"
                " || one.getBoundingClientRect().left < -0.5)).map((one) => one.outerHTML.slice(0, 80))"
            )
            assert over == []
            assert page.run("return document.documentElement.scrollWidth <= document.documentElement.clientWidth")
            beside = page.run(
                "const [a, b] = ['place', 'inside'].map((one) => document.getElementById(one).getBoundingClientRect());"
                "return a.left < b.left && a.top === b.top"
            )
            assert beside is (width >= 960)
    finally:
        page.ask("Emulation.clearDeviceMetricsOverride")
        page.ask("Emulation.setEmulatedMedia", features=[])


def test_on_a_phone_all_that_is_pressed_is_large(phone):
    small = phone.run(
        "return [...document.querySelectorAll('button, input')].filter((one) => one.getClientRects().length)"
        ".filter((one) => one.getBoundingClientRect().height < 44 || one.getBoundingClientRect().width < 44)"
        ".map((one) => one.outerHTML)"
    )
    assert small == []
    letters = phone.run(
        "return Math.min(...[...document.querySelectorAll('body *')].filter((one) => one.getClientRects().length"
        " && !one.closest('svg')).map((one) => parseFloat(getComputedStyle(one).fontSize)))"
    )
    assert letters >= 14.0


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_words_stand_out_from_what_is_behind_them(page, colours):
    page.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": colours}])
    page.one('[data-less="pour"]').click()
    try:
        pairs = page.run(
            "const behind = (one) => { for (; one; one = one.parentElement) {"
            " const colour = getComputedStyle(one).backgroundColor; if (colour !== 'rgba(0, 0, 0, 0)') return colour; }"
            " return 'rgb(255, 255, 255)'; };"
            "return [...document.querySelectorAll('p, li, th, td, b, small, dt, dd, label, .value, .when, button, h2')]"
            ".filter((one) => one.getClientRects().length && one.textContent.trim() && !one.disabled)"
            ".map((one) => [getComputedStyle(one).color, behind(one), one.outerHTML.slice(0, 60)])"
        )
        for ink, paper, where in pairs:
            # What the guidelines for accessible pages ask of text of any size.
            assert _contrast(ink, paper) >= 4.5, where
    finally:
        page.ask("Emulation.setEmulatedMedia", features=[])


def _contrast(one, other):
    light, dark = sorted(map(_luminance, (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour):
    parts = [int(part) / 255.0 for part in re.findall(r"\d+", colour)[:3]]
    linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_a_screen_reader_finds_a_name_and_a_value_for_all_that_moves(page):
    nodes = [one for one in page.ask("Accessibility.getFullAXTree")["nodes"] if not one["ignored"]]
    roles = {}
    for one in nodes:
        roles.setdefault(one["role"]["value"], []).append(plain(one.get("name", {}).get("value", "")))
    assert roles["slider"] == ["Room", "Pour", "Since the pour"]
    # One place alone speaks up by itself, and only when a hand lets go of a slider or a step is due.
    assert len(roles["status"]) == 1
    assert all(roles["button"])
    assert all(roles["image"])
    assert roles["region"] == [
        "Room and pour",
        "The day",
        "Inside the jar",
        "How hot to pour",
        "What can hurt",
        "What this is, and how sure",
    ]
    assert "main" in roles
    # Each tab stop is a thing that does something, and the sliders are among them.
    stops = page.run("return [...document.querySelectorAll('a, button, input')].every((one) => one.tabIndex === 0)")
    assert stops is True


def test_who_wants_less_motion_gets_none(page):
    assert page.one("#play").is_displayed()
    page.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-reduced-motion", "value": "reduce"}])
    assert not page.one("#play").is_displayed()
    page.ask("Emulation.setEmulatedMedia", features=[])


def test_the_film_plays_to_its_end_when_asked(page):
    last = len(page.data["times"]) - 1
    page.run("const time = document.querySelector('#time'); time.value = arguments[0]", last - 2)
    page.one("#play").click()
    assert page.text("#play") == "Stop"
    _wait(lambda: page.text("#play") == "Play")
    assert page.one("#time").get_property("value") == str(last)


def test_without_its_script_it_is_a_whole_page(driver, page, made):
    page.ask("Emulation.setScriptExecutionDisabled", value=True)
    try:
        driver.get(page.address)
        shown = [one for one in page.all(".scripted, .sketch") if one.is_displayed()]
        assert shown == []
        assert len([one for one in page.all(".stills svg") if one.is_displayed()]) == 8
        plans = [jar.plan for jar in made.jars]
        for name in plan_names(plans):
            assert [page.cell(name, number) for number in (0, 1)] == [plain(cell) for cell in plan_cells(name, plans)]
        assert page.text(".static") == "Room at 21 °C, wax poured at 60 °C."
    finally:
        page.ask("Emulation.setScriptExecutionDisabled", value=False)


def test_on_paper_all_is_there_for_the_place_of_the_sliders(page, made):
    page.press("#room", Keys.ARROW_RIGHT)
    page.ask("Emulation.setEmulatedMedia", media="print")
    try:
        assert [one.get_attribute("id") for one in page.all("button, input") if one.is_displayed()] == []
        assert len([one for one in page.all(".stills svg, .sketch") if one.is_displayed()]) == 10
        assert page.text(".static") == "Room at 22 °C, wax poured at 60 °C."
        assert all(one.is_displayed() for one in page.all("section, section h2, .plan tr, .rooms tr, .key li"))
    finally:
        page.ask("Emulation.setEmulatedMedia", media="")
    printed = base64.b64decode(page.ask("Page.printToPDF", paperWidth=8.27, paperHeight=11.69)["data"])
    assert printed.startswith(b"%PDF-")
    assert 3 <= len(re.findall(rb"/Type /Page\b", printed)) <= 6
