"""Uncertainty of a number that is made from others: the budget of JCGM 100.

Source: JCGM 100:2008, *Evaluation of measurement data, Guide to the expression of uncertainty in measurement* (GUM):
law of propagation 5.1.2, degrees of freedom by Welch and Satterthwaite G.4.1, expanded uncertainty G.3.2. The parts are
taken to be independent and the number nearly linear in them.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, inf, isfinite, sqrt

from culmwright.measure.errors import BadInput
from culmwright.measure.record import si

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Part:
    """One cause of doubt: its standard ``uncertainty`` [any], what a unit of it does to the result, ``sensitivity``
    [any], and its degrees of ``freedom`` [-], infinite where its size is taken as known.
    """

    name: str
    uncertainty: float
    sensitivity: float = 1.0
    freedom: float = inf

    @classmethod
    def within(cls, name: str, limit: float, sensitivity: float = 1.0) -> Part:
        """Anywhere within plus or minus ``limit`` [any], all alike: ``limit/sqrt 3`` (4.3.7)."""
        return cls(name, limit / sqrt(3), sensitivity)

    @classmethod
    def rounded(cls, name: str, step: float) -> Part:
        """Read to whole ``step`` [any]: ``step/sqrt 12`` (F.2.2.1)."""
        return cls.within(name, step / 2)

    @classmethod
    def repeated(cls, name: str, deviation: float, times: int, freedom: float) -> Part:
        """The mean of so many ``times`` [-] of what scatters by ``deviation`` [any]: ``s/sqrt n`` (4.2.3)."""
        return cls(name, deviation / sqrt(times), freedom=freedom)

    @property
    def contribution(self) -> float:
        """What it adds to the doubt of the result [any]: ``|c| u``."""
        return abs(self.sensitivity) * self.uncertainty


@dataclass(frozen=True, slots=True)
class Share:
    """One line of a budget: a cause, what it contributes, and its share of the whole variance."""

    name: str
    contribution: float = si("m")
    share: float = si("-")


@dataclass(frozen=True, slots=True)
class Budget:
    """The doubts of one number together."""

    parts: tuple[Part, ...]

    def __post_init__(self) -> None:
        for part in self.parts:
            if not (isfinite(part.uncertainty) and part.uncertainty >= 0 and part.freedom > 0):
                raise BadInput(
                    "an uncertainty is below zero or not known", where=part.name, remedy="Give it above zero"
                )

    @property
    def combined(self) -> float:
        """Combined standard uncertainty [any]: root of the sum of squared contributions."""
        return sqrt(sum(part.contribution**2 for part in self.parts))

    @property
    def freedom(self) -> float:
        """Effective degrees of freedom [-]: ``u^4 / sum(u_i^4/nu_i)``; infinite where every part is known."""
        below = sum(part.contribution**4 / part.freedom for part in self.parts)
        return self.combined**4 / below if below else inf

    def coverage(self, confidence: float = CONFIDENCE) -> float:
        """What to multiply it by [-] for ``confidence`` [-]: Student's t at the whole degrees of freedom below."""
        from scipy.special import ndtri, stdtrit

        tail = (1 + confidence) / 2
        return float(ndtri(tail) if self.freedom == inf else stdtrit(max(floor(self.freedom), 1), tail))

    def expanded(self, confidence: float = CONFIDENCE) -> float:
        """Half the interval [any] that holds the value with ``confidence`` [-]."""
        return self.coverage(confidence) * self.combined

    def shares(self) -> tuple[Share, ...]:
        """Every part with its share of the variance, the largest first."""
        whole = self.combined**2 or 1.0
        lines = (Share(part.name, part.contribution, part.contribution**2 / whole) for part in self.parts)
        return tuple(sorted(lines, key=lambda line: -line.share))
