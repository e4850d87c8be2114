"""Hold a case of the book to its tolerances."""

from coolsim.studies.verify.case import Case, check


def held(case: Case) -> None:
    """Every value and order of a case is within its tolerance, and no case is empty."""
    found = check(case)
    assert found.values
    assert not found.missed, "\n".join(map(str, found.missed))
