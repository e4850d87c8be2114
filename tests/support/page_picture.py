"""Draw figures/page.png: the first two screens of the page for the phone, and the cut jar, in a real browser.

    python tests/support/page_picture.py

It needs chromium and chromedriver. No test takes it again: it is as the browser and its fonts have it. Run
`figures.py` after it, which notes its digest.
"""

import base64
import io
import shutil
import tempfile
from pathlib import Path

from PIL import Image
from selenium import webdriver
from typer.testing import CliRunner

from coolsim.cli import app_for

TOP = Path(__file__).parents[2]
PAIR = ("scenarios/tumbler-bare.toml", "scenarios/tumbler-boxed.toml")
FLAGS = "--headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking --hide-scrollbars"
WIDE, TALL, APART = 390, 844, 20


def screens(file: Path, profile: str) -> list[Image.Image]:
    """Screens of a phone at the top of the page, one further down, and at the cut jar."""
    options = webdriver.ChromeOptions()
    options.binary_location = shutil.which("chromium")
    for flag in (*FLAGS.split(), f"--user-data-dir={profile}"):
        options.add_argument(flag)
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(shutil.which("chromedriver")))
    try:
        ask = driver.execute_cdp_cmd
        ask(
            "Emulation.setDeviceMetricsOverride",
            {"width": WIDE, "height": TALL, "deviceScaleFactor": 1, "mobile": True},
        )
        driver.get(file.as_uri())
        jar = driver.execute_script("return document.querySelector('figure svg').getBoundingClientRect().top")
        clips = [{"x": 0, "y": y, "width": WIDE, "height": TALL, "scale": 1} for y in (0, TALL, max(jar - 120, 0))]
        shots = [ask("Page.captureScreenshot", {"captureBeyondViewport": True, "clip": clip}) for clip in clips]
    finally:
        driver.quit()
    return [Image.open(io.BytesIO(base64.b64decode(shot["data"]))).convert("RGB") for shot in shots]


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / "page.html"
        words = ["make", "page", *(str(TOP / one) for one in PAIR), "-o", str(made), "-q"]
        done = CliRunner().invoke(app_for(words), words)
        assert done.exit_code == 0, done.output
        shown = screens(made, f"{folder}/profile")
    page = Image.new("RGB", (len(shown) * (WIDE + APART) - APART, TALL), "#808080")
    for number, one in enumerate(shown):
        page.paste(one, (number * (WIDE + APART), 0))
    page.save(TOP / "figures" / "page.png", optimize=True)
