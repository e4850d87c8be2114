from any_scenario import boxes, check_run, measured_waxes, scenarios, some_examples
from hypothesis import given


@some_examples
@given(data=scenarios(wax=measured_waxes, box=boxes))
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
