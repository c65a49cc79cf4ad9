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
    r"(?:/S(?P<strip>[1-9][0-9]{0,3}))?"
    r"(?:@(?P<station>[^:@]+))?"
    r"(?::(?P<quantity>[a-z_]+))?",
    re.IGNORECASE | re.ASCII,
)
_OF_ROD = re.compile(
    r"(?:(?P<rod>R[1-9][0-9]{0,8}|D[0-9A-F]{6})[/:])?:?(?P<quantity>modulus)", re.IGNORECASE | re.ASCII
)
"""The address of a number of the whole rod, which is the same at all its places."""
_SPACED = re.compile(r" *([@:]|/(?= *S)) *")  # spaces typed around a separator


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on a rod: ``section`` (B, M, T1, T2 …), optionally its ``strip``, ``station`` and ``rod``.

    ``rod`` is ``R7`` for the seventh rod of a shop's ledger, or ``D4F9C21`` for the drawing whose digest
    begins so. ``quantity`` names one of the numbers found there. ``section`` is empty for a number of the whole rod,
    the modulus of its cane: ``R7/modulus``.
    """

    section: str
    strip: int | None = None
    station: Length | None = None
    quantity: str = ""
    rod: str = ""

    @classmethod
    def parse(cls, text: str, bare: str | None = None) -> Spot:
        """Read a spot; ``bare`` is the unit of a station written without one.

        >>> str(Spot.parse("T1/S3@25 in:rough"))
        'T1/S3@25in:rough'
        """
        spaced = _SPACED.sub(r"\1", text.strip())
        if whole := _OF_ROD.fullmatch(spaced):
            return cls("", quantity=whole["quantity"].lower(), rod=(whole["rod"] or "").upper())
        match = _SPOT.fullmatch(spaced)
        if not match:
            raise BadInput(
                f'"{text[:64]}" is not the address of a spot',
                remedy="Write section, strip and station, like T1/S3@25in, or with the number wanted, T1@25in:rough",
            )
        station = match["station"]
        return cls(
            section=match["section"].upper(),
            strip=int(match["strip"]) if match["strip"] else None,
            station=None if station is None else Length.parse(station, bare),
            quantity=(match["quantity"] or "").lower(),
            rod=(match["rod"] or "").upper(),
        )

    def asking(self, quantity: str) -> Spot:
        """The same place, asked for another of its numbers."""
        return replace(self, quantity=quantity)

    def __str__(self) -> str:
        parts = [f"{self.rod}/" if self.rod else "", self.section]
        if self.strip is not None:
            parts.append(f"/S{self.strip}")
        if self.station is not None:
            parts.append(f"@{str(self.station).replace(' ', '')}")
        if self.quantity:
            parts.append(f":{self.quantity}" if self.section else self.quantity)
        return "".join(parts)
