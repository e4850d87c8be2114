"""The model of triglycerides against calorimetry of two pure ones, in the stable form."""

from held import held

from coolsim.studies.verify.published import FATS_MEASURED


def test_pure_fats_melt_where_they_were_measured_to_and_take_their_heat():
    held(FATS_MEASURED)
