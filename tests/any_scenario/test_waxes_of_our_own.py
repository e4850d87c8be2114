from any_scenario import check_run, measured_waxes, scenarios, some_examples
from hypothesis import given


@some_examples
@given(data=scenarios(wax=measured_waxes))
def test_whatever_passes_the_check_runs_to_its_end(data):
    check_run(data)
