"""Pages for the phone, made by the command, and what a reader meets on them."""

import json
import re
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

import pytest
from commands import coarse
from typer.testing import CliRunner

from coolsim.cli import app_for
from coolsim.report.page import data, write
from coolsim.studies.spread import spread

# Pictures besides those of events: what is tested is what they show.
FRAMES = 16
BARE = "</script><script>alert(1)</script> \"&amp;\" '<b>' ${title} شمعة"
BOXED = "Wachs" + 8 * "unbreakable"


@dataclass(frozen=True)
class Made:
    file: Path
    jars: tuple
    said: str

    @property
    def text(self):
        return self.file.read_text(encoding="utf-8")

    @property
    def data(self):
        return json.loads(re.search(r'<script type="application/json" id="data">(.*?)</script>', self.text).group(1))


class Seen(HTMLParser):
    """The words of a page as a reader without styles and scripts meets them."""

    def __init__(self, text):
        super().__init__()
        self.found, self.hidden = [], 0
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.hidden += tag in ("script", "style", "title")

    def handle_endtag(self, tag):
        self.hidden -= tag in ("script", "style", "title")

    def handle_data(self, data):
        if not self.hidden:
            self.found.append(data)


def words(text):
    return " ".join("".join(Seen(text).found).replace("\u00a0", " ").split())


def make(folder, texts, *options):
    """Make a page of scenarios by the command, with few cases behind its plan."""
    kept = []

    def keep(jars, **asked):
        kept.append(tuple(jars))
        return whole(jars, **asked)

    whole = write.page_html
    files = []
    for name, text in texts.items():
        files.append(folder / f"{name}.toml")
        files[-1].write_text(text, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(data, "FRAMES", FRAMES)
        patch.setattr(spread, "RUNS", 8)
        patch.setitem(spread.spread.__kwdefaults__, "runs", 8)
        patch.setattr(write, "page_html", keep)
        patch.chdir(folder)
        asked = ["make", "page", *(file.name for file in files), *options]
        done = CliRunner().invoke(app_for(), asked, prog_name="coolsim")
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done, kept[0] if kept else ()


def titled(name, title):
    return re.sub(
        r"^title = .*$", lambda _: f"title = {json.dumps(title, ensure_ascii=False)}", coarse(name), flags=re.M
    )
