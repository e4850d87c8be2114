"""A sweep of 200 runs, start-up included: `python -m pytest tests/benchmarks/test_sweeps.py --benchmark-only`.

Twenty pours, five rooms, bare and boxed, as `coolsim pour` runs them. Counts are asserted, never times.
"""

import subprocess
import sys

PROGRAM = """
from coolsim.scenario.ranges import swept_values
from coolsim.studies.pour.choose import choose_pour
from tests.support.pair import closed_pair
if __name__ == "__main__":
    study = choose_pour(
        closed_pair()[0],
        rooms=swept_values("room.temperature", "15C:27C:3K"),
        pours=swept_values("pour.temperature", "51C:70C:1K"),
    )
    print(sum(one.answers is not None for choice in study.choices for one in choice.candidates))
"""


def test_two_hundred_runs_from_start_to_end(benchmark, tmp_path):
    program = tmp_path / "two_hundred.py"
    program.write_text(PROGRAM)

    def run():
        return subprocess.run([sys.executable, program], capture_output=True, encoding="utf-8", check=True).stdout

    assert benchmark.pedantic(run, rounds=3).strip() == "200"
