"""The checks, in the order of the book."""

from __future__ import annotations

from coolsim.studies.verify.bars import LONG_BAR, SHORT_BAR
from coolsim.studies.verify.case import Case

CASES: tuple[Case, ...] = (LONG_BAR, SHORT_BAR)
