"""Runs that are not made: a study is sent what a test makes up."""


def answered(study, outcome):
    """Send a study the outcome that a function makes up of each point it asks for; return what it finds."""
    asked = None
    try:
        while True:
            asked = study.send(None if asked is None else [outcome(point) for point in asked.points])
    except StopIteration as end:
        return end.value
