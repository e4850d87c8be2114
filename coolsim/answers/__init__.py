"""Every answer of a run, stated once: what it is called, in which unit it comes, and how it is read from a result.

Tables, JSON, CSV, sweeps, spreads, fits and handouts take their answers from `coolsim.answers.catalogue`; a new answer
is one entry there.
"""
