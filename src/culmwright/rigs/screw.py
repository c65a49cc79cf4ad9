"""Adjuster screws: what a turn does, and how a turn is said."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Turning(Enum):
    """Which way a screw is turned to open the groove or lift the bed."""

    CLOCKWISE = "clockwise"
    COUNTER = "counter-clockwise"

    @property
    def other(self) -> Turning:
        """The other way."""
        return Turning.COUNTER if self is Turning.CLOCKWISE else Turning.CLOCKWISE


class Hands(Enum):
    """The hands of the two threads of a differential screw."""

    SAME = "same"
    OPPOSITE = "opposite"


@dataclass(frozen=True, slots=True)
class Screw:
    """An adjuster screw: ``pitch`` [m], the ``second`` pitch [m] of a differential pair or None and their ``hands``.

    ``opens`` is the way it is turned to open or lift, None where the file does not say; ``divisions`` [-] of its dial
    in a turn, None without a dial.
    """

    pitch: float
    second: float | None = None
    hands: Hands = Hands.SAME
    opens: Turning | None = None
    divisions: int | None = None

    @property
    def travel(self) -> float:
        """What one turn opens or lifts [m]: the pitch; of a pair the difference (same hand) or the sum (opposite)."""
        if self.second is None:
            return self.pitch
        return abs(self.pitch - self.second) if self.hands is Hands.SAME else self.pitch + self.second

    @property
    def step(self) -> float:
        """The smallest part of a turn it can be set to [-]: a tenth of a division, or a degree."""
        return 1 / 360 if self.divisions is None else 0.1 / self.divisions

    def settable(self, turn: float) -> float:
        """The turn [-] it can be set to that is nearest ``turn`` [-]."""
        return round(turn / self.step) * self.step

    def words(self, turn: float) -> str:
        """A turn [-] without its direction: whole turns, then degrees or divisions.

        >>> Screw(0.00127).words(2.25), Screw(0.00127, divisions=50).words(0.5)
        ('2 turns 90 deg', '25.0 divisions')
        """
        whole, rest = self._parts(turn)
        part = f"{rest} deg" if self.divisions is None else f"{rest / 10:.1f} divisions"
        if not whole:
            return part
        turns = f"{whole} turn{'s' if whole > 1 else ''}"
        return f"{turns} {part}" if rest else turns

    def brief(self, turn: float) -> str:
        """A turn [-] for a table, whole turns + degrees or divisions: ``2 + 90°``, ``0 + 25.0``.

        >>> Screw(0.00127).brief(2.25), Screw(0.00127, divisions=50).brief(0.5)
        ('2 + 90°', '0 + 25.0')
        """
        whole, rest = self._parts(turn)
        part = f"{rest}°" if self.divisions is None else f"{rest / 10:.1f}"
        return f"{whole} + {part}"

    @property
    def brief_words(self) -> str:
        """What the figures of :meth:`brief` are."""
        return "whole turns + degrees" if self.divisions is None else f"whole turns + divisions of {self.divisions}"

    def _parts(self, turn: float) -> tuple[int, int]:
        """Whole turns of a turn's size, and the steps left."""
        in_turn = 360 if self.divisions is None else 10 * self.divisions
        return divmod(round(abs(turn) / self.step), in_turn)

    def move(self, turn: float, opening: str = "open", closing: str = "close") -> str:
        """A turn [-] from where it stands, with its direction in words: ``open 1 turn 40 deg, clockwise``."""
        if not round(turn / self.step):
            return "leave"
        way = self.opens if turn > 0 or self.opens is None else self.opens.other
        return f"{opening if turn > 0 else closing} {self.words(turn)}" + (f", {way.value}" if way else "")
