"""CPU time and memory of work in this process and of commands in processes of their own."""

import json
import math
import subprocess
import sys
import time


def best_cpu(work, *arguments, repeats=1):
    """Least CPU time of several repeats [s], and what the work returned."""
    best, outcome = math.inf, None
    for _ in range(repeats):
        before = time.process_time()
        outcome = work(*arguments)
        best = min(best, time.process_time() - before)
    return best, outcome


# Runs a command and tells its CPU time and peak memory. It imports next to nothing: a child's peak counts the moment
# when it is still a copy of its parent.
LAUNCHER = """
import json, resource, subprocess, sys
done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
json.dump({"code": done.returncode, "error": done.stderr.decode()[-400:],
           "cpu": used.ru_utime + used.ru_stime, "peak": used.ru_maxrss * 1024}, sys.stdout)
"""


def used_by(*command, folder, repeats=1):
    """Least CPU time [s] and largest peak memory [bytes] of several runs of a Python command."""
    found = []
    for _ in range(repeats):
        done = subprocess.run(
            [sys.executable, "-c", LAUNCHER, sys.executable, *command],
            cwd=folder,
            capture_output=True,
            text=True,
            check=True,
        )
        found.append(json.loads(done.stdout))
        assert found[-1]["code"] == 0, found[-1]["error"]
    return min(one["cpu"] for one in found), max(one["peak"] for one in found)
