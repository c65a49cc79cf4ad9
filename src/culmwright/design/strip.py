"""From the drawn section to the strip that is planed for it.

``t = 180 deg/n``; ``alpha`` the strip's apex angle; ``k = tan(alpha/2)/tan t`` tells how an apex angle
other than 360/n closes (k > 1: the corners meet first, the apexes stand off) or gapes (k < 1).
``h`` runs from the virtual apex, where the flanks produced would meet, to the top of the crown.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, sin, sqrt, tan

from culmwright.design.polygon import half_angle


@dataclass(frozen=True, slots=True)
class StripForm:
    """The shape strips are cut to: ``sides`` [-], ``apex_angle`` [rad], ``culm_radius`` [m] or None if not known."""

    sides: int
    apex_angle: float
    culm_radius: float | None = None

    @property
    def closing(self) -> float:
        """``k = tan(alpha/2)/tan t`` [-]: 1 for a true apex, above 1 where the outer corners close first."""
        return tan(self.apex_angle / 2) / tan(half_angle(self.sides))

    @property
    def flank_altitude(self) -> float:
        """Altitude onto a flank over strip height [-]: ``h_f/h = 2 sin(alpha/2)`` of the ideal triangle."""
        return 2 * sin(self.apex_angle / 2)

    def face_width(self, h: float) -> float:
        """Width of the enamel face [m] of a strip ``h`` [m] high.

        Flat enamel: ``w = 2 h tan(alpha/2)``. On a culm of radius R the flanks meet the arc instead, and w is
        the root of ``w = 2 (h - s(w)) tan(alpha/2)`` (a line cut with a circle, solved in closed form).
        """
        slope = tan(self.apex_angle / 2)
        if self.culm_radius is None:
            return 2 * h * slope
        c = h - self.culm_radius  # place of the culm's centre along the height, from the apex
        quadratic = 1 + 1 / slope**2
        linear = c / slope
        rest = h * (2 * self.culm_radius - h)  # R^2 - c^2
        return 2 * rest / (sqrt(linear**2 + quadratic * rest) - linear)

    def crown(self, h: float) -> float | None:
        """How far the enamel's arc stands above its chord [m] on a strip ``h`` [m] high; None without a culm.

        ``s = R - sqrt(R^2 - w^2/4)``.
        """
        if self.culm_radius is None:
            return None
        return sagitta(self.culm_radius, self.face_width(h))

    def crown_left(self, h: float, taken: float) -> float:
        """Crown left [m] on a flat whose strip was ``h`` [m] high, once ``taken`` [m] is off its top: ``(s - f)+``.

        0 without a culm, and where finishing reached the chord.
        """
        return max((self.crown(h) or 0.0) - taken, 0.0)

    def height(self, glued: float) -> float:
        """Strip height [m] that glues up to ``glued`` [m], centre to crown's top, in seams without thickness.

        ``h = glued/k`` for k > 1, where a crown of sagitta s does not grow: ``(h - s) k + s = glued``.
        ``h = glued`` for k <= 1: the apexes meet at the centre.
        """
        k = self.closing
        if k <= 1:
            return glued
        if self.culm_radius is None:
            return glued / k
        # The corners lie where the half section's edge ray (slope tan t) meets the enamel's arc, so the chord
        # stands at chord = w/(2 tan t) and the arc's top at glued: the same line and circle, seen from the centre.
        seated = StripForm(self.sides, 2 * half_angle(self.sides), self.culm_radius)
        w = seated.face_width(glued)
        return w / (2 * tan(self.apex_angle / 2)) + sagitta(self.culm_radius, w)

    def stand_off(self, h: float) -> float:
        """Hidden void [m] between the apexes and the centre when k > 1: ``(h - s)(k - 1)``; 0 otherwise."""
        return max(self.closing - 1, 0.0) * (h - (self.crown(h) or 0.0))

    def seam_gape(self, h: float) -> float:
        """Gap [m] of a seam at the surface when k < 1: ``2 (h/cos(alpha/2)) sin(t - alpha/2)``; 0 otherwise."""
        opening = half_angle(self.sides) - self.apex_angle / 2
        return max(2 * (h / cos(self.apex_angle / 2)) * sin(opening), 0.0)


def sagitta(radius: float, chord: float) -> float:
    """Height [m] of an arc of ``radius`` [m] over its ``chord`` [m]: ``s = R - sqrt(R^2 - w^2/4)``.

    >>> round(sagitta(1.125, 0.25), 4)
    0.007
    """
    return chord**2 / 4 / (radius + sqrt(radius**2 - chord**2 / 4))


def glue_offset(n: int, glue_line: float) -> float:
    """How far a glue line [m] in every seam moves each strip out from the centre [m]: ``g/(2 sin t)``."""
    return glue_line / (2 * sin(half_angle(n)))
