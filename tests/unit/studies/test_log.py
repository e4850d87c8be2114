"""A log is read in the one way that it can mean, or refused with the line and what to do."""

import os
from pathlib import Path

import numpy as np
import pytest

from coolsim.errors import LogError
from coolsim.studies.fit.log import check_begin, read_log
from tests.support.pair import closed_pair

PLACES = {"axis": (0.0, 0.035)}
MINUTES = [0.0, 600.0, 1200.0, 1800.0]
READINGS = [65.0, 60.0, 55.0, 52.0]


def written(folder, text, encoding="utf-8"):
    path = folder / "log.csv"
    path.write_bytes(text.encode(encoding))
    return path


def read(path, **how):
    return read_log(path, PLACES, between=(5.0, 80.0), **how)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("time [min],axis [°C]\n0,65\n10,60\n20,55\n30,52\n", "times in min"),
        ("\ufefftime [min];axis [°C]\n0;65,0\n10;60,0\n20;55,0\n30;52,0\n", "decimal commas"),
        ("time [min]\taxis [°F]\n0\t149\n10\t140\n20\t131\n30\t125.6\n", "tabs between the columns"),
        ("time [h],axis [°C]\r\n0,65\r\n0.16666667,60\r\n0.33333333,55\r\n0.5,52\r\n", "times in h"),
        ("time,axis [°C]\n23:50,65\n00:00,60\n00:10,55\n00:20,52\n", "the pour at the first row, 23:50"),
        ("time [min],axis [°C]\n0,65\n5,\n10,60\n20,55\n30,52\n", "1 empty cell left out"),
    ],
    ids=["plain", "comma and mark", "tab and °F", "hours", "over midnight", "gap"],
)
def test_a_log_is_read_in_the_one_way_it_can_mean(text, said, tmp_path):
    log = read(written(tmp_path, text))
    (probe,) = log.probes
    # Hours with eight digits are good to 1e-4 s.
    assert probe.time == pytest.approx(MINUTES, abs=1e-3)
    assert probe.temperature == pytest.approx(READINGS)
    assert said in log.how


def test_a_time_that_comes_again_counts_twice(tmp_path):
    log = read(written(tmp_path, "time [min],axis [°C]\n0,65\n10,60\n10,60.4\n20,55\n"))
    assert log.probes[0].time.tolist() == [0.0, 600.0, 600.0, 1200.0]
    assert np.mean(log.probes[0].temperature[1:3]) == pytest.approx(60.2)


def test_units_may_come_with_the_call_where_headings_have_none(tmp_path):
    log = read(written(tmp_path, "time,axis\n0,149\n600,140\n1200,131\n"), time_unit="s", temperature_unit="F")
    assert log.probes[0].temperature == pytest.approx([65.0, 60.0, 55.0])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty. Give a log"),
        ("time [min],axis [°C]\n0,65\n10,warm\n20,55\n30,52\n", "line 3: found 'warm'"),
        ("time [min],axis [°C]\n0,65\n20,60\n10,55\n30,52\n", "line 4: the time goes back by 10 min"),
        ("time,axis [°C]\n0,65\n10,60\n20,55\n", "line 2: found the time '0' without a unit"),
        ("time [min],side [°C],top [°C]\n0,65,60\n10,60,55\n20,55,50\n", "no place is known"),
        ("time [min]|axis [°C]\n0|65\n10|60\n20|55\n", "line 1: found one column"),
        ("time [min],axis [°C]\n0,650\n10,600\n20,550\n", "line 2: found 650 as a temperature"),
        ("time [min],axis [°C]\n0,65\n10,60\n", "at least three"),
        ("time [min];axis [°C]\n0;65,5\n10;60.2\n20;55,0\n", "decimal commas (line 2) and decimal points (line 3)"),
    ],
    ids=["empty", "text", "back", "unit", "place", "delimiter", "range", "few", "mixed"],
)
def test_a_faulty_log_is_refused_with_the_line(text, says, tmp_path):
    with pytest.raises(LogError) as caught:
        read(written(tmp_path, text))
    assert says in str(caught.value)
    assert "log.csv" in str(caught.value)


def test_a_missing_log_is_one_message(tmp_path):
    with pytest.raises(LogError, match="no such file"):
        read(tmp_path / "nowhere.csv")


def test_a_pipe_or_a_device_is_refused_at_once(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path(os.devnull)):
        with pytest.raises(LogError, match="cannot be read: no ordinary file"):
            read(path)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("time [min]" + ",a" * 1_000_000, "line 1: found 1000001 columns. Give 100 at most."),
        ("time [min],axis [°C]\n0,65" + "," * 200, "line 2: found 202 columns. Give 100 at most."),
        ("\n" * 1_000_001, "more than 1000000 lines"),
    ],
    ids=["headings", "cells", "lines"],
)
def test_a_log_of_very_many_columns_or_lines_is_refused(text, says, tmp_path):
    with pytest.raises(LogError) as caught:
        read(written(tmp_path, text))
    assert says in str(caught.value)


LATE = "the readings begin at 52.0 °C, and the wax is poured at 65.0 °C"


@pytest.mark.parametrize(
    ("rows", "how", "refused"),
    [
        ("14:05,52\n14:15,48\n14:25,46\n", {}, True),
        ("14:05,21\n14:06,52\n14:25,46\n", {}, True),
        # A cold probe, put into the wax as it is poured.
        ("14:05,21\n14:06,63\n14:25,58\n", {}, False),
        ("14:05,60\n14:15,57\n14:25,55\n", {}, False),
        ("14:05,52\n14:15,48\n14:25,46\n", {"pour_at": "13:35"}, False),
    ],
    ids=["late", "late and cold", "cold probe", "lost in pouring", "said when"],
)
def test_a_log_that_begins_after_the_pour_asks_when_that_was(rows, how, refused, tmp_path):
    log = read(written(tmp_path, "time,axis [°C]\n" + rows), **how)
    jar = closed_pair()[0].jar
    if refused:
        with pytest.raises(LogError, match=LATE):
            check_begin(log, jar)
    else:
        check_begin(log, jar)


def test_a_required_place_is_never_put_into_a_column_of_another_name(tmp_path):
    path = written(tmp_path, "time [min],side [°C]\n0,65\n10,60\n20,55\n")
    assert read(path).probes[0].name == "axis"
    with pytest.raises(LogError, match=r"no column 'axis'\. The columns are 'side'\."):
        read(path, required=["axis"])
