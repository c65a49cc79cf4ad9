"""The address of a number: rod, section, strip, station and quantity, e.g. ``R7/T1/S3@25in:rough``.

The same text is the command-line argument, the key in files and ledger, the page address and the small
print in the book.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length

_SPOT = re.compile(
    r"(?:(?P<rod>R[1-9][0-9]{0,8}|D[0-9A-F]{6})/)?"
    r"(?P<section>B|M|T[1-9][0-9]?)"
    r"(?:/S(?P<strip>[1-9][0-9]{0,3})|/A(?P<adjuster>[1-9][0-9]{0,2})|/C(?P<cut>[1-9][0-9]?))?"
    r"(?:@(?P<station>[^:@]+))?"
    r"(?::(?P<quantity>[a-z_]+))?",
    re.IGNORECASE | re.ASCII,
)
_OF_ROD = re.compile(
    r"(?:(?P<rod>R[1-9][0-9]{0,8}|D[0-9A-F]{6})[/:])?:?"
    r"(?:(?P<whole>modulus)|"
    r"(?P<thing>heat|fit|study)(?: */ *(?!A[0-9]+(?:$|:))(?P<of>[^/@:\n]{1,60}))?(?:/A(?P<adjuster>[1-9][0-9]{0,2}))?"
    r"(?::(?P<quantity>[a-z_]+))?)",
    re.IGNORECASE | re.ASCII,
)
"""The address of a number that is at no place of the rod: of all its cane, or of a thing of the shop."""
_SPACED = re.compile(r" *([@:]|/(?= *[SAC])) *", re.IGNORECASE)  # spaces typed around a separator


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on a rod: ``section`` (B, M, T1, T2 …), optionally its ``strip``, ``station`` and ``rod``.

    ``rod`` is ``R7`` for the seventh rod of a shop's ledger, or ``D4F9C21`` for the drawing whose digest
    begins so. ``quantity`` names one of the numbers found there. ``adjuster`` is a screw of the rig that is set for the
    section, ``cut`` a line of its cut list. ``section`` is empty for a number of the whole rod, its cane's modulus:
    ``R7/modulus``; and for one of a ``thing``: the oven plan, the fit of an insert, the study of a gauge, with ``of``
    saying which step, rig or gauge: ``R7/heat/2``, ``R7/fit/long bed/A3``, ``R7/study/G1``.
    """

    section: str
    strip: int | None = None
    station: Length | None = None
    quantity: str = ""
    rod: str = ""
    adjuster: int | None = None
    cut: int | None = None
    thing: str = ""
    of: str = ""

    @classmethod
    def parse(cls, text: str, bare: str | None = None) -> Spot:
        """Read a spot; ``bare`` is the unit of a station written without one.

        >>> str(Spot.parse("T1/S3@25 in:rough"))
        'T1/S3@25in:rough'
        """
        spaced = _SPACED.sub(r"\1", text.strip())
        if whole := _OF_ROD.fullmatch(spaced):
            return cls(
                "",
                quantity=(whole["whole"] or whole["quantity"] or "").lower(),
                rod=(whole["rod"] or "").upper(),
                adjuster=_number(whole["adjuster"]),
                thing=(whole["thing"] or "").lower(),
                of=(whole["of"] or "").strip(),
            )
        match = _SPOT.fullmatch(spaced)
        if not match:
            raise BadInput(
                f'"{text[:64]}" is not the address of a spot',
                remedy="Write section, strip and station, like T1/S3@25in, or with the number wanted, T1@25in:rough",
            )
        station = match["station"]
        return cls(
            section=match["section"].upper(),
            strip=_number(match["strip"]),
            station=None if station is None else Length.parse(station, bare),
            quantity=(match["quantity"] or "").lower(),
            rod=(match["rod"] or "").upper(),
            adjuster=_number(match["adjuster"]),
            cut=_number(match["cut"]),
        )

    def asking(self, quantity: str) -> Spot:
        """The same place, asked for another of its numbers."""
        return replace(self, quantity=quantity)

    def __str__(self) -> str:
        parts = [f"{self.rod}/" if self.rod else "", self.section or self.thing]
        if self.of:
            parts.append(f"/{self.of}")
        for letter, number in (("S", self.strip), ("A", self.adjuster), ("C", self.cut)):
            if number is not None:
                parts.append(f"/{letter}{number}")
        if self.station is not None:
            parts.append(f"@{str(self.station).replace(' ', '')}")
        if self.quantity:
            parts.append(f":{self.quantity}" if self.section or self.thing else self.quantity)
        return "".join(parts)


def _number(text: str | None) -> int | None:
    return int(text) if text else None
