"""The map of a jar in water shows the water on both sides, up to its level, at its temperature, by name."""

import numpy as np
import pytest
from matplotlib.patches import Rectangle

from coolsim import built_in_pair, draw_sections, simulate, with_overrides
from coolsim.report.figures.field_map import FieldMap


def test_water_stands_beside_the_jar_up_to_its_level_and_has_its_name():
    water = {"kind": "water", "temperature": "15 °C", "depth": "40 mm"}
    quick = {"run.refinement": 0.5, "run.tolerance": "1 K", "run.horizon": "1 h"}
    jar = with_overrides(built_in_pair()[0], {"support": {"kind": "rack"}, "surround": water, **quick}).jar
    axes = draw_sections([("In water", simulate(jar))], [600.0]).axes[0]
    (map_of_all,) = axes.findobj(FieldMap)
    drawn = [one for one in map_of_all.fields if one.what == "water"]
    assert len(drawn) == 2
    assert all(np.all(one.values == 15.0) for one in drawn)
    frames = [one for one in axes.patches if isinstance(one, Rectangle) and one.get_gid() == "held"]
    assert [frame.get_height() for frame in frames] == pytest.approx([40.0, 40.0])
    # One begins at the outside of the glass, the other ends there.
    assert sorted(abs(end) for frame in frames for end in (frame.get_x(), frame.get_x() + frame.get_width()))[:2] == (
        pytest.approx([39.0, 39.0])
    )
    assert "water" in [text.get_text() for text in axes.texts]
