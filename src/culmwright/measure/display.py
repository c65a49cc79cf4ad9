"""How numbers are shown to a maker: one set of formats in inches, one in millimetres.

A format rounds once, half away from zero, and prints plain digits that read back to what they show: the
same number has the same digits on the screen, in the book and in the ladder behind it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import ROUND_DOWN, ROUND_HALF_UP, Context, Decimal

from culmwright.measure.band import Band
from culmwright.measure.lengths import NANOMETRES
from culmwright.measure.quantities import CELSIUS, COMMON, FAHRENHEIT, INCH, OUNCE, STANDARD_GRAVITY, Kind

SIGNIFICANT = 13
"""Digits of a float that are trusted: beyond them binary noise would decide how a tie rounds."""
FIGURES = 3
"""Significant figures of a stress, a modulus, a load, a mass: no rule or density behind them is surer (own choice). A
moment has one more, so that the stress can be followed by hand."""
ON_MARK = 5e-4
"""A place so near to a 16th [16ths of an inch] stands on it: far finer than any rule."""
_WIDE = Context(prec=700)  # room for every float in plain digits


@dataclass(frozen=True, slots=True)
class Format:
    """Numbers in one ``unit`` worth ``si`` of SI [any], with ``places`` decimals, trailing zeros kept or not.

    ``figures`` is how many significant figures mean something, None for as many as the places give.
    """

    unit: str
    si: float
    places: int
    trimmed: bool = False
    figures: int | None = None

    def number(self, value: float, rounding: str = ROUND_HALF_UP) -> str:
        """The digits alone of ``value`` [SI], rounded half away from zero unless told otherwise.

        >>> Format("in", 0.0254, 4).number(0.0885 * 0.0254)
        '0.0885'
        >>> Format("oz/in²", 43.09, 0, figures=3).number(8_067_000.0)
        '187000'
        """
        amount = Decimal(f"{value / self.si:.{SIGNIFICANT - 1}e}")
        rounded = self._rounded(amount, rounding)
        digits = f"{rounded if self.figures is None else self._rounded(rounded, rounding):f}"
        if self.trimmed and "." in digits:
            digits = digits.rstrip("0").rstrip(".")
        return digits.lstrip("-") if not digits.strip("-0.") else digits

    def down(self, value: float) -> str:
        """The digits of ``value`` [SI] rounded towards zero: a depth that, set so, never cuts too deep."""
        return self.number(value, ROUND_DOWN)

    def _rounded(self, amount: Decimal, rounding: str) -> Decimal:
        """``amount`` with no more decimals and no more significant figures than mean something."""
        places = self.places
        if self.figures is not None and amount:
            places = min(places, self.figures - 1 - amount.adjusted())
        return amount.quantize(Decimal(1).scaleb(-places), rounding, _WIDE)

    def __call__(self, value: float) -> str:
        """The digits and the unit of ``value`` [SI]."""
        return f"{self.number(value)}{'' if self.unit == '%' else ' '}{self.unit}".rstrip()


@dataclass(frozen=True, slots=True)
class OnRule(Format):
    """Places along a rule: to the last of its ``places`` where they stand on a 16th of the unit, else hundredths."""

    def number(self, value: float, rounding: str = ROUND_HALF_UP) -> str:
        """The digits alone of ``value`` [SI]: no rule finds more, and a place typed as a fraction is shown whole.

        >>> OnRule("in", INCH, 4, trimmed=True).number(14.875 * INCH), OnRule("in", INCH, 4, trimmed=True).number(0.8)
        ('14.875', '31.5')
        """
        sixteenths = 16 * value / self.si
        own = self if abs(sixteenths - round(sixteenths)) < ON_MARK else replace(self, places=2)
        return Format.number(own, value, rounding)


@dataclass(frozen=True, slots=True)
class FeetAndInches:
    """Long lengths as feet and inches, as fine as a rule finds them where they are not whole."""

    unit: str = "ft in"

    def __call__(self, value: float) -> str:
        """``value`` [m] as ``7 ft 6 in``.

        >>> FeetAndInches()(2.286), FeetAndInches()(0.1016), FeetAndInches()(1.68)
        ('7 ft 6 in', '4 in', '5 ft 6.14 in')
        """
        inches = Decimal(OnRule("in", INCH, 4, trimmed=True).number(value))
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
        return self.fine_step(value - self.scale[1])

    def fine_step(self, difference: float) -> str:
        """A ``difference`` of two temperatures [K] to a tenth of a degree."""
        return Format(self.unit, self.scale[0], 1, trimmed=True)(difference)

    def step(self, difference: float) -> str:
        """A ``difference`` of two temperatures [K]."""
        return Format(self.unit, self.scale[0], 0)(difference)


@dataclass(frozen=True, slots=True)
class Spans:
    """Lengths of time in minutes, hours or days, whichever says it in few digits; minutes up to four hours."""

    unit: str = "time"

    def __call__(self, value: float) -> str:
        """``value`` [s] in words that read back.

        >>> Spans()(1500), Spans()(30 * 3600), Spans()(9.25 * 86400)
        ('25 min', '30 h', '9.3 days')
        """
        if abs(value) < 239.5 * 60:
            return Format("min", 60.0, 0)(value)
        if abs(value) < 10 * 3600:
            return Format("h", 3600.0, 1, trimmed=True)(value)
        if abs(value) < 47.5 * 3600:
            return Format("h", 3600.0, 0)(value)
        return Format("days", 86400.0, 1, trimmed=True)(value)


def _length(unit: str, places: int, *, trimmed: bool = False) -> Format:
    return Format(unit, NANOMETRES[unit] / 1e9, places, trimmed)


def _of(kind: Kind, unit: str, places: int, *, trimmed: bool = False, figures: int | None = None) -> Format:
    return Format(unit.replace("^2", "²").replace("^3", "³"), COMMON[kind][unit], places, trimmed, figures)


RULED = frozenset({"off_butt", "off_tip", "long"})
"""Quantities that are marked with a rule along a strip."""
_PLAIN: dict[str, Callable[[float], str]] = {
    "seconds": Format("s", 1.0, 0),
    "strips": Format("strips", 1.0, 0),
    "sizes": Format("sizes", 1.0, 0),
    "m^2/s": Format("mm²/s", 1e-6, 3),
    "J/(kg K)": Format("J/(kg K)", 1.0, 0),
    "W/(m^2 K)": Format("W/(m² K)", 1.0, 0),
}
"""Units of a ladder that every maker sees alike."""


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
    ratio: Format = Format("", 1.0, 5, trimmed=True)
    temperature: Degrees = Degrees("°F", FAHRENHEIT)
    share: Format = Format("%", 0.01, 1, trimmed=True)  # humidity, moisture content
    time: Spans = Spans()

    def shown(self, value: float, unit: str, within: Band | None = None) -> str:
        """``value`` [SI] of the given ``unit``, or its bounds, as this display shows it in a ladder."""
        show = self._formats[unit]
        return show(value) if within is None else within.words(show)

    def ladder_of(self, quantity: str, masses: Format | None = None) -> Display:
        """This display for the ladder of ``quantity``: a modulus has other digits than a stress, though both are Pa.

        What a rule finds along a strip has fewer digits than what a caliper reads across it; ``masses`` as their scale
        showed them.
        """
        own = self if masses is None else replace(self, mass=masses)
        if quantity in RULED:
            return replace(own, height=self.ruled)
        return replace(own, stress=self.modulus) if quantity == "modulus" else own

    @property
    def fine(self) -> Format:
        """Deviations told apart where a digit of :attr:`small` would hide which is the greater."""
        return replace(self.small, places=self.small.places + 1)

    @property
    def guide(self) -> Format:
        """Places of guides: as a rule finds them in inches, to a millimetre."""
        return self.station if self.bare == "in" else self.near

    @property
    def ruled(self) -> Format:
        """Places a rule finds: hundredths of an inch, tenths of a millimetre."""
        return Format(self.near.unit, self.near.si, self.near.places + 1)

    @property
    def _formats(self) -> dict[str, Callable[[float], str]]:
        return {
            **_PLAIN,
            "s": self.time,
            "K": self.temperature.fine,
            "m apart": self.small,
            "1/K": Format(f"millionths a {self.temperature.unit}", 1e-6 / self.temperature.scale[0], 2, trimmed=True),
            "K apart": self.temperature.fine_step,
            "kg/kg": self.share,
            "Pa/Pa": self.share,
            "m/m": self.share,
            "kg/m^3": self.density,
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
    station=OnRule("in", INCH, 4, trimmed=True),
    near=_length("in", 1),
    across=_length("in", 4),
    height=_length("in", 4),
    small=_length("thou", 1),
    long=FeetAndInches(),
    walk=_length("ft", 0),
    mass=_of(Kind.MASS, "oz", 3, figures=FIGURES),
    load=_of(Kind.LOAD, "oz", 3, trimmed=True, figures=FIGURES),
    stress=_of(Kind.STRESS, "oz/in^2", 0, figures=FIGURES),
    moment=Format("oz in", OUNCE * STANDARD_GRAVITY * INCH, 2, figures=FIGURES + 1),
    modulus=_of(Kind.MODULUS, "Mpsi", 2, figures=FIGURES),
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
    mass=_of(Kind.MASS, "g", 2, figures=FIGURES),
    load=_of(Kind.LOAD, "g", 1, trimmed=True, figures=FIGURES),
    stress=_of(Kind.STRESS, "MPa", 1, figures=FIGURES),
    moment=Format("N m", 1.0, 4, figures=FIGURES + 1),
    modulus=_of(Kind.MODULUS, "GPa", 1, figures=FIGURES),
    density=_of(Kind.DENSITY, "kg/m^3", 0),
    section_modulus=Format("mm³", 1e-9, 3),
    temperature=Degrees("°C", CELSIUS),
)
DISPLAYS = {display.name: display for display in (INCH_DISPLAY, METRIC_DISPLAY)}
