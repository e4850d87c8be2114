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


# Runs a command and tells its times, its peak memory and what it printed. It imports next to nothing: a child's peak
# counts the moment when it is still a copy of its parent. On Linux workers that outlive the command that started them
# (by the moments that they take to end) come to this process, which waits for them: their CPU time counts.
LAUNCHER = """
import ctypes, json, os, resource, subprocess, sys, time
if sys.platform == "linux":
    ctypes.CDLL(None).prctl(36, 1)
began = time.monotonic()
done = subprocess.run(sys.argv[1:], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
wall = time.monotonic() - began
try:
    while True:
        os.wait()
except ChildProcessError:
    pass
used = resource.getrusage(resource.RUSAGE_CHILDREN)
json.dump({"code": done.returncode, "error": done.stderr.decode()[-400:], "printed": done.stdout.decode(), "wall": wall,
           "cpu": used.ru_utime + used.ru_stime, "peak": used.ru_maxrss * 1024}, sys.stdout)
"""


def whole_process(*command, folder):
    """Run a Python command: wall and CPU time of all its processes [s], peak memory [bytes], and what it printed."""
    launched = [sys.executable, "-c", LAUNCHER, sys.executable, *command]
    found = json.loads(subprocess.run(launched, cwd=folder, capture_output=True, text=True, check=True).stdout)
    assert found["code"] == 0, found["error"]
    return found


def used_by(*command, folder, repeats=1):
    """Least CPU time [s] and largest peak memory [bytes] of several runs of a Python command."""
    found = [whole_process(*command, folder=folder) for _ in range(repeats)]
    return min(one["cpu"] for one in found), max(one["peak"] for one in found)
