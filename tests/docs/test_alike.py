"""What a test of texts lets pass as the same, and what it does not."""

import pytest
from alike import alike

ALIKE = [
    ("rim set", "rim set"),
    ("set after 16:00 h", "set after 16:01 h"),
    ("set after 9:59 h", "set after 10:00 h"),
    ("Pour (-0:15)", "Pour (-0:16)"),
    ("cavity 2.1 mL", "cavity 2.2 mL"),
    ("cavity 0.99 mL", "cavity 1.00 mL"),
    ("up 30.8 mm", "up 30.9 mm"),
    # Zeros at the end are left out.
    ("up 29.1 mm", "up 29 mm"),
    ("room  2.51", "room  2.50"),
    ("side 64 %", "side 63 %"),
    ("wick +2 %", "wick +1 %"),
    ("wick +0 %", "wick -0 %"),
    ("wick +0 %", "wick -1 %"),
    ("dish −3.9", "dish -4.0"),
    ("lowest 35 °C,", "lowest 36 °C,"),
    ("melted through after 9\ns of air", "melted through after 8\ns of air"),
    # Columns and rules as wide as the widest entry, and a word that no longer fits on its line.
    ("set\n----\n9:59", " set\n-----\n10:00"),
    ("Fully set   9:59  9:40", "Fully set  10:00  9:40"),
    ("it sets after 9:59 h, then\nrests", "it sets after 10:00 h,\nthen rests"),
]

DIFFERENT = [
    ("rim set", "top closed"),
    ("rim set", "Rim set"),
    ("set after 16:00 h", "set after 16:02 h"),
    ("set after 16:00 h", "set after 16 h"),
    ("Pour (-1:15)", "Pour (+1:15)"),
    ("Pour (-1:15)", "Pour (1:15)"),
    ("cavity 2.1 mL", "cavity 2.3 mL"),
    ("cavity 2.1 mL", "cavity 3 mL"),
    ("cavity 2.10 mL", "cavity 2.12 mL"),
    ("cavity 2.1 mL", "cavity 2.1 mm"),
    ("cavity 2.1 mL", "cavity – mL"),
    ("side 64 %", "side 62 %"),
    ("wick +2 %", "wick -2 %"),
    ("wick +1 %", "wick 1 %"),
    ("dish -3.9 mm", "dish 3.9 mm"),
    # Counts, places, names, versions and dates.
    ("9 jars", "8 jars"),
    ("inner (row 2, column 2)", "inner (row 2, column 3)"),
    ("effective, 10 ×", "effective, 11 ×"),
    ("exit code 3", "exit code 4"),
    ("box-3x4.toml", "box-3x5.toml"),
    ("coolsim 0.2.0", "coolsim 0.2.1"),
    ("2026-03-14", "2026-03-15"),
    ("1 g, 2 g", "1 g"),
    # Nothing changed its length: then nothing may have moved.
    ("Fully set  9:59", "Fully set   9:58"),
    ("a\nb", "a b"),
    ("----\n2.1", "-----\n2.2"),
    ("set  9:59\nat 2 mm", "at  10:00\nset 2 mm"),
]


@pytest.mark.parametrize(("old", "new"), ALIKE)
def test_texts_that_differ_by_a_rounding_are_alike(old, new):
    assert alike(old, new)
    assert alike(new, old)


@pytest.mark.parametrize(("old", "new"), DIFFERENT)
def test_texts_that_say_something_else_are_not_alike(old, new):
    assert not alike(old, new)
    assert not alike(new, old)


def test_times_that_are_rounded_to_five_minutes_may_differ_by_five():
    assert alike("Pour 9:55", "Pour 10:00", step=5)
    assert not alike("Pour 9:55", "Pour 10:05", step=5)
    assert not alike("cavity 2.1 mL", "cavity 2.3 mL", step=5)
