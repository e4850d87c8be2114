"""What tests have done in another process. A worker finds this folder on its path, but not the files of the tests."""

import os
import sys

ALGEBRA = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS")


def modules_loaded(_):
    return sorted(sys.modules)


def blas_threads(_):
    return [os.environ.get(name) for name in ALGEBRA]


def die(*_):
    os._exit(1)
