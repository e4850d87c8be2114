"""The fatty acids of a wax as a scenario states them: of one fat, or of several that are mixed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coolsim.model.catalogue import Fat
from coolsim.model.triglycerides import ACIDS
from coolsim.scenario.values import Quantity, Value, numbered, read_each
from coolsim.scenario.wording import shown, suggestion

_SHARE = Quantity("fraction", "0 %", "100 %", "50 %")
_SLACK = 0.02
_MOST_PARTS = 10
_WANTED = 'give acids with their shares, as in {"16:0" = "11 %", "18:0" = "89 %"}'
_AS_IN = 'as in [["50 %", {"18:0" = "100 %"}], ["50 %", {"18:1" = "100 %"}]]'
_MIXED = f"or a list of fats, {_AS_IN}"


@dataclass(frozen=True, slots=True)
class Acids(Value):
    """Mass shares of fatty acids in a fat, or rows of the share of a fat and its acids."""

    def read(self, raw: object) -> tuple[tuple[float, Fat], ...]:
        """Return the parts: share of a fat [-] and its acids with their shares [-], each adding up to one or nearly."""
        if isinstance(raw, Mapping):
            return ((1.0, _fat(raw)),)
        if not isinstance(raw, list) or not 1 <= len(raw) <= _MOST_PARTS:
            raise ValueError(f"found {shown(raw)}, {_WANTED}, {_MIXED}")
        rows = read_each(numbered(raw, "fat"), _part)
        _are_a_whole([share for share, _ in rows], "fats")
        return tuple(rows)

    def describe(self) -> str:
        """Say what to write."""
        return (
            f'shares of {", ".join(ACIDS)} in the mass of all acids, `{{"16:0" = "11 %", "18:0" = "89 %"}}`, or of'
            ' several fats, `[["50 %", {"18:0" = "100 %"}], ["50 %", {"18:1" = "100 %"}]]`'
        )

    def write(self, value: Any) -> Any:
        """Write the acids as a scenario states them."""
        written = [[_SHARE.write(share), {name: _SHARE.write(one) for name, one in fat}] for share, fat in value]
        return written[0][1] if len(written) == 1 else written


def _part(row: object) -> tuple[float, Fat]:
    if not isinstance(row, list) or len(row) != 2 or not isinstance(row[1], Mapping):
        raise ValueError(f"found {shown(row)}, give a share and the acids of the fat, {_AS_IN}")
    return _SHARE.read(row[0]), _fat(row[1])


def _fat(raw: Mapping[Any, Any]) -> Fat:
    unknown = [name for name in raw if name not in ACIDS]
    if unknown:
        raise ValueError(f"found {shown(unknown[0])}, give acids of {', '.join(ACIDS)}{suggestion(unknown[0], ACIDS)}")
    shares = read_each([(f"'{name}'", raw[name]) for name in raw], _SHARE.read)
    _are_a_whole(shares, "acids")
    return tuple(zip(raw, shares, strict=True))


def _are_a_whole(shares: list[float], of_what: str) -> None:
    """Refuse shares [-] that do not add up to one, but for what a table of round shares is off."""
    whole = sum(shares)
    if abs(whole - 1.0) > _SLACK:
        raise ValueError(f"found {of_what} that add up to {100.0 * whole:g} %, give shares of 100 % in all")
