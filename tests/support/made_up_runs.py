"""Runs that are not made: a study is sent what a test makes up."""


def answered(study, outcome):
    """Send a study the outcome that a function makes up of each point it asks for; return what it finds."""
    sent, made = None, []
    try:
        while True:
            asked = study.send(sent)
            made += [outcome(point) for point in asked.points]
            sent, made = (None, made) if asked.more else (made, [])
    except StopIteration as end:
        return end.value
