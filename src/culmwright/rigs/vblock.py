"""The V block: what a reading over it says about a strip, and what makes it say something else.

``beta`` is the angle of the block, ``alpha`` the strip's apex angle. A strip with alpha <= beta rests its apex in
the root and reads ``zero + h``. Source of the pin formulas: E. Oberg et al., *Machinery's Handbook*, 31st ed.
(2020), measurement over pins; the rest is plane geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, degrees, sin, tan

from culmwright.design.strip import StripForm


def pin_top(radius: float, beta: float) -> float:
    """Top of a pin [m] of ``radius`` [m] above the vertex of a V of angle ``beta`` [rad]: ``r (1 + 1/sin(beta/2))``.

    >>> from math import radians
    >>> round(pin_top(0.125, radians(61)), 4)
    0.3713
    """
    return pin_top_uneven(radius, beta / 2, beta / 2)


def pin_top_uneven(radius: float, a: float, b: float) -> float:
    """Top of a pin [m] of ``radius`` [m] above the vertex of walls ``a`` and ``b`` [rad] from the vertical.

    ``r [1 + csc((a + b)/2) cos((a - b)/2)]`` (*Machinery's Handbook*, 31st ed., p. 703).
    """
    return radius * (1 + cos((a - b) / 2) / sin((a + b) / 2))


@dataclass(frozen=True, slots=True)
class VBlock:
    """A V block of angle ``beta`` [rad] that reads ``zero`` [m] at its vertex, None where it is not measured yet."""

    beta: float
    zero: float | None = None

    def reading(self, height: float) -> float | None:
        """Reading [m] over a strip ``height`` [m] high, or None while the zero is not known."""
        return None if self.zero is None else self.zero + height

    def wedges(self, form: StripForm) -> bool:
        """True if the strip is blunter than the block, so that it sits on its flanks and every reading is wrong."""
        return form.apex_angle > self.beta + 1e-9

    def round_root_error(self, root_radius: float) -> float:
        """How much too high [m] every reading is over a root worn to ``root_radius`` [m]."""
        return root_radius * (1 / sin(self.beta / 2) - 1)

    def relief_error(self, form: StripForm, slot: float) -> float:
        """How much too low [m] every reading is over a root relieved by a ``slot`` [m] wide."""
        return slot / 2 * (1 / tan(form.apex_angle / 2) - 1 / tan(self.beta / 2))

    def lean_error(self, form: StripForm, height: float) -> float:
        """How much too high [m] the high edge of a leaning strip of ``height`` [m] reads; mid-face reads right."""
        lean = max(self.beta - form.apex_angle, 0.0) / 2
        return height * (cos(lean) - 1) + form.face_width(height) / 2 * sin(lean)

    def worn_apex_error(self, form: StripForm, apex_radius: float) -> float:
        """Shift [m] of the reading of a strip whose apex is rounded to ``apex_radius`` [m]; below zero reads low."""
        return apex_radius * (1 / sin(self.beta / 2) - 1 / sin(form.apex_angle / 2))

    def warnings(self, form: StripForm) -> tuple[str, ...]:
        """What the maker should know before trusting this block with these strips."""
        block, strip = f"{degrees(self.beta):.4g} deg", f"{degrees(form.apex_angle):.4g} deg"
        if self.wedges(form):
            return (
                f"the block of {block} is sharper than the strips' {strip}: they wedge on their flanks and every "
                "reading is wrong; take a block one degree open",
            )
        if degrees(self.beta - form.apex_angle) > 3:
            return (
                f"the block of {block} is far more open than the strips' {strip}: they lean; is it the right block?",
            )
        return ()
