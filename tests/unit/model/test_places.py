"""Where jars stand in a box: what belongs to each place, and which places are alike."""

import math
from itertools import pairwise

import pytest

from coolsim.model.places import Places, air_between, gaps_of, kinds_of, neighbours_of

PITCH = 0.09


def box_of(rows, columns, **other):
    size = {"length": (columns + 0.2) * PITCH, "width": (rows + 0.1) * PITCH}
    return Places(rows=rows, columns=columns, pitch_along=PITCH, pitch_across=PITCH, **size | other)


BOXES = {
    "one": box_of(1, 1),
    "row": box_of(1, 5),
    "column": box_of(4, 1),
    "six": box_of(2, 3),
    "twelve": box_of(3, 4),
    "square": box_of(4, 4, length=0.4, width=0.4),
    "corner empty": box_of(3, 4, empty=((1, 4),)),
    "middle empty": box_of(3, 3, empty=((2, 2),)),
    "large": box_of(5, 7, empty=((1, 1), (3, 4))),
}


@pytest.mark.parametrize("box", BOXES.values(), ids=BOXES)
def test_cells_fill_the_box(box):
    assert sum(math.prod(box.cell(place)) for place in box) == pytest.approx(box.plan, rel=1e-12)


@pytest.mark.parametrize("box", BOXES.values(), ids=BOXES)
def test_walls_of_the_cells_are_the_walls_of_the_box(box):
    walls = sum(long for place in box for beside, long, _ in box.sides(place) if beside is None)
    assert walls == pytest.approx(2.0 * (box.length + box.width), rel=1e-12)


@pytest.mark.parametrize("box", BOXES.values(), ids=BOXES)
def test_kinds_hold_each_place_once(box):
    kinds = kinds_of(box)
    assert sorted(place for kind in kinds for place in kind.places) == sorted(box)
    assert sum(kind.count for kind in kinds if not kind.empty) == box.jars
    assert len({kind.name for kind in kinds}) == len(kinds)


@pytest.mark.parametrize("box", BOXES.values(), ids=BOXES)
def test_places_of_a_kind_have_as_many_neighbours_of_each_kind(box):
    """So one of them stands for all."""
    kinds = kinds_of(box)
    kind_of = {place: index for index, kind in enumerate(kinds) for place in kind.places}
    for kind in kinds:
        met = {
            tuple(sorted(-1 if beside is None else kind_of[beside] for beside, _, _ in box.sides(place)))
            for place in kind.places
        }
        assert len(met) == 1


@pytest.mark.parametrize("box", BOXES.values(), ids=BOXES)
def test_pairs_of_kinds_are_the_sides_that_touch(box):
    kinds = kinds_of(box)
    all_pairs = box.rows * (box.columns - 1) + (box.rows - 1) * box.columns
    kind_of = {place: index for index, kind in enumerate(kinds) for place in kind.places}
    alike = sum(
        1
        for place in box
        for beside, _, _ in box.sides(place)
        if beside is not None and kind_of[beside] == kind_of[place]
    )
    assert sum(one.pairs for one in neighbours_of(box, kinds)) + alike // 2 == all_pairs


@pytest.mark.parametrize(
    ("box", "names"),
    [
        (box_of(1, 1), {"alone": 1}),
        (box_of(1, 4), {"end": 2, "in the row": 2}),
        (box_of(1, 5), {"end": 2, "in the row, row 1, column 2": 2, "in the row, row 1, column 3": 1}),
        (box_of(2, 3), {"corner": 4, "edge": 2}),
        (BOXES["square"], {"corner": 4, "edge": 8, "inner": 4}),
        (box_of(3, 4), {"corner": 4, "edge, row 1, column 2": 4, "edge, row 2, column 1": 2, "inner": 2}),
        # The same places, but the walls at the ends are nearer than those at the sides.
        (box_of(3, 3), {"corner": 4, "edge, row 1, column 2": 2, "edge, row 2, column 1": 2, "inner": 1}),
        (
            box_of(3, 3, length=0.3, width=0.3, empty=((2, 2),)),
            {"corner": 4, "edge by an empty place": 4, "empty place, inner": 1},
        ),
    ],
)
def test_places_that_are_alike_are_one_kind(box, names):
    assert {kind.name: kind.count for kind in kinds_of(box)} == names


def test_kinds_come_from_the_most_exposed_on_and_empty_places_last():
    kinds = kinds_of(BOXES["large"])
    assert [kind.empty for kind in kinds] == sorted(kind.empty for kind in kinds)
    walls = [kind.walls for kind in kinds if not kind.empty]
    assert all(one >= other for one, other in pairwise(walls))


def test_the_gap_at_the_wall_is_that_of_a_ring_as_long_as_the_walls():
    # A cell of 100 mm between four walls: 400 mm of board, a ring of 63.66 mm round a jar of 39 mm radius.
    box = Places(rows=1, columns=1, length=0.1, width=0.1, pitch_along=0.1, pitch_across=0.1)
    ((name, gap),) = gaps_of(box, 0.078)
    assert name == "alone"
    assert gap == pytest.approx(0.4 / (2.0 * math.pi) - 0.039, rel=1e-12)


def test_air_between_two_jars_is_twice_the_gap_of_half_of_it_and_empty_places_have_none():
    row = box_of(1, 3, empty=((1, 1),))
    # A ring as long as four sides of 90 mm has half of that round a jar of 78 mm.
    (found,) = air_between(row, 0.078)
    assert found == ("end", pytest.approx(4.0 * PITCH / math.pi - 0.078, rel=1e-12))
    assert ("end", pytest.approx(0.5 * found[1])) in gaps_of(row, 0.078)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"rows": 0}, "at least one place, not 0 × 3"),
        ({"empty": ((3, 1),)}, "no place in row 3, column 1 of 2 × 3"),
        ({"rows": 1, "columns": 1, "empty": ((1, 1),)}, "all places of the box are empty"),
    ],
)
def test_a_box_that_cannot_be_is_refused(change, says):
    with pytest.raises(ValueError, match=says):
        Places(
            **{"rows": 2, "columns": 3, "length": 0.3, "width": 0.2, "pitch_along": 0.09, "pitch_across": 0.09} | change
        )
