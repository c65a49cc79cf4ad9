"""How numbers are shown to a maker: one set of formats in inches, one in millimetres.

A format rounds once, half away from zero, and prints plain digits that read back to what they show: the
same number has the same digits on the screen, in the book and in the ladder behind it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import ROUND_DOWN, ROUND_HALF_UP, Context, Decimal

from culmwright.measure.lengths import NANOMETRES
from culmwright.measure.quantities import CELSIUS, COMMON, FAHRENHEIT, INCH, OUNCE, STANDARD_GRAVITY, Kind

SIGNIFICANT = 13
"""Digits of a float that are trusted: beyond them binary noise would decide how a tie rounds."""
_WIDE = Context(prec=700)  # room for every float in plain digits


@dataclass(frozen=True, slots=True)
class Format:
    """Numbers in one ``unit`` worth ``si`` of SI [any], with ``places`` decimals, trailing zeros kept or not."""

    unit: str
    si: float
    places: int
    trimmed: bool = False

    def number(self, value: float, rounding: str = ROUND_HALF_UP) -> str:
        """The digits alone of ``value`` [SI], rounded half away from zero unless told otherwise.

        >>> Format("in", 0.0254, 4).number(0.0885 * 0.0254)
        '0.0885'
        """
        amount = Decimal(f"{value / self.si:.{SIGNIFICANT - 1}e}")
        digits = f"{amount.quantize(Decimal(1).scaleb(-self.places), rounding, _WIDE):f}"
        if self.trimmed and "." in digits:
            digits = digits.rstrip("0").rstrip(".")
        return digits.lstrip("-") if not digits.strip("-0.") else digits

    def down(self, value: float) -> str:
        """The digits of ``value`` [SI] rounded towards zero: a depth that, set so, never cuts too deep."""
        return self.number(value, ROUND_DOWN)

    def __call__(self, value: float) -> str:
        """The digits and the unit of ``value`` [SI]."""
        return f"{self.number(value)} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class FeetAndInches:
    """Long lengths as feet and inches, to a ten-thousandth of an inch where they are not whole."""

    unit: str = "ft in"

    def __call__(self, value: float) -> str:
        """``value`` [m] as ``7 ft 6 in``.

        >>> FeetAndInches()(2.286), FeetAndInches()(0.1016)
        ('7 ft 6 in', '4 in')
        """
        inches = Decimal(Format("in", INCH, 4, trimmed=True).number(value))
        feet, rest = _WIDE.divmod(inches.copy_abs(), 12)
        sign = "-" if inches < 0 else ""
        if not feet:
            return f"{sign}{rest:f} in"
        return f"{sign}{feet:f} ft {rest:f} in" if rest else f"{sign}{feet:f} ft"


@dataclass(frozen=True, slots=True)
class Degrees:
    """Temperatures on a ``scale`` of degrees of a size [K] from a zero [K], to whole degrees or a tenth."""

    unit: str
    scale: tuple[float, float]

    def __call__(self, value: float) -> str:
        """``value`` [K] on this scale.

        >>> Degrees("°F", FAHRENHEIT)(293.15)
        '68 °F'
        """
        return self.step(value - self.scale[1])

    def fine(self, value: float) -> str:
        """``value`` [K] to a tenth of a degree."""
        return Format(self.unit, self.scale[0], 1, trimmed=True)(value - self.scale[1])

    def step(self, difference: float) -> str:
        """A ``difference`` of two temperatures [K]."""
        return Format(self.unit, self.scale[0], 0)(difference)


@dataclass(frozen=True, slots=True)
class Spans:
    """Lengths of time in minutes, hours or days, whichever says it in few digits."""

    unit: str = "time"

    def __call__(self, value: float) -> str:
        """``value`` [s] in words that read back.

        >>> Spans()(1500), Spans()(30 * 3600), Spans()(9.25 * 86400)
        ('25 min', '30 h', '9.3 days')
        """
        if abs(value) < 89.5 * 60:
            return Format("min", 60.0, 0)(value)
        if abs(value) < 10 * 3600:
            return Format("h", 3600.0, 1, trimmed=True)(value)
        if abs(value) < 47.5 * 3600:
            return Format("h", 3600.0, 0)(value)
        return Format("days", 86400.0, 1, trimmed=True)(value)


def _length(unit: str, places: int, *, trimmed: bool = False) -> Format:
    return Format(unit, NANOMETRES[unit] / 1e9, places, trimmed)


def _of(kind: Kind, unit: str, places: int) -> Format:
    return Format(unit.replace("^2", "²").replace("^3", "³"), COMMON[kind][unit], places)


@dataclass(frozen=True, slots=True)
class Display:
    """The formats one person or one book uses."""

    name: str
    bare: str  # unit of a bare number typed by this person
    station: Format  # places along the rod, as given
    near: Format  # places along the rod, roughly
    across: Format  # dimensions as drawn
    height: Format  # dimensions to plane to
    small: Format  # deviations, passes, thin layers
    long: Format | FeetAndInches
    walk: Format
    mass: Format
    load: Format
    stress: Format
    moment: Format
    modulus: Format
    density: Format
    section_modulus: Format
    angle: Format = Format("deg", COMMON[Kind.ANGLE]["deg"], 2)
    ratio: Format = Format("", 1.0, 5)
    temperature: Degrees = Degrees("°F", FAHRENHEIT)
    share: Format = Format("%", 0.01, 1, trimmed=True)  # humidity, moisture content
    time: Spans = Spans()

    def shown(self, value: float, unit: str) -> str:
        """``value`` [SI] of the given ``unit``, digits and unit, as this display shows it in a ladder."""
        return self._formats[unit](value)

    def ladder_of(self, quantity: str) -> Display:
        """This display for the ladder of ``quantity``: a modulus has other digits than a stress, though both are Pa."""
        return replace(self, stress=self.modulus) if quantity == "modulus" else self

    @property
    def _formats(self) -> dict[str, Format]:
        return {
            "m": self.height,
            "rad": self.angle,
            "-": self.ratio,
            "N m": self.moment,
            "Pa": self.stress,
            "m^3": self.section_modulus,
            "kg": self.mass,
        }


INCH_DISPLAY = Display(
    name="inch",
    bare="in",
    station=_length("in", 4, trimmed=True),
    near=_length("in", 1),
    across=_length("in", 4),
    height=_length("in", 4),
    small=_length("thou", 1),
    long=FeetAndInches(),
    walk=_length("ft", 0),
    mass=_of(Kind.MASS, "oz", 3),
    load=_of(Kind.LOAD, "oz", 3),
    stress=_of(Kind.STRESS, "oz/in^2", 0),
    moment=Format("oz in", OUNCE * STANDARD_GRAVITY * INCH, 2),
    modulus=_of(Kind.MODULUS, "Mpsi", 2),
    density=_of(Kind.DENSITY, "oz/in^3", 3),
    section_modulus=Format("in³", INCH**3, 7),
)
METRIC_DISPLAY = Display(
    name="metric",
    bare="mm",
    station=_length("mm", 2, trimmed=True),
    near=_length("mm", 0),
    across=_length("mm", 3),
    height=_length("mm", 3),
    small=_length("mm", 3),
    long=_length("mm", 2, trimmed=True),
    walk=_length("m", 0),
    mass=_of(Kind.MASS, "g", 2),
    load=_of(Kind.LOAD, "N", 3),
    stress=_of(Kind.STRESS, "MPa", 1),
    moment=Format("N m", 1.0, 4),
    modulus=_of(Kind.MODULUS, "GPa", 1),
    density=_of(Kind.DENSITY, "kg/m^3", 0),
    section_modulus=Format("mm³", 1e-9, 3),
    temperature=Degrees("°C", CELSIUS),
)
DISPLAYS = {display.name: display for display in (INCH_DISPLAY, METRIC_DISPLAY)}
