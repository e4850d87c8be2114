from any_run import check_colder
from any_scenario import boxes, examples, measured_waxes, scenarios
from hypothesis import given
from hypothesis import strategies as st


@examples(few=6, many=1000)
@given(
    data=st.one_of(
        scenarios(),
        scenarios(box=boxes),
        scenarios(wax=measured_waxes),
        scenarios(wax=measured_waxes, box=boxes),
        scenarios(box=boxes, many=True),
    ),
    kelvins=st.floats(1.0, 10.0),
)
def test_a_colder_room_never_sets_the_wax_later(data, kelvins):
    check_colder(data, kelvins)
