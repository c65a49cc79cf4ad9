"""Where a strip comes to lie in the glued section: from its height to its face.

The way from drawing to strip (``bench/targets.py``) run backwards, each strip for itself: pushed into its n-th of the
circle until its flanks or its outer corners meet the seams, moved out by the glue, scraped by what finishing takes.
"""

from __future__ import annotations

from math import tan

from culmwright.design.polygon import half_angle
from culmwright.design.rod import Rod
from culmwright.design.strip import StripForm, glue_offset, sagitta


def seated(form: StripForm, height: float) -> float:
    """Centre to crown's top [m] of a strip ``height`` [m] high in seams without thickness: undoes ``StripForm.height``.

    ``(h - s) k + s`` for k > 1, where the outer corners meet first; ``h`` for k <= 1.

    >>> from math import radians
    >>> round(2 * seated(StripForm(6, radians(61)), 0.150), 4)
    0.3061
    """
    if form.closing <= 1:
        return height
    w = form.face_width(height)
    crown = sagitta(form.culm_radius, w) if form.culm_radius is not None else 0.0
    return w / (2 * tan(half_angle(form.sides))) + crown


def face_of(rod: Rod, height: float) -> float:
    """Centre to face of the bare, scraped section [m] for a strip ``height`` [m] high, glued and scraped as drawn.

    ``a = seated(h) + g/(2 sin t) - f``.
    """
    making = rod.making
    return seated(rod.form, height) + glue_offset(rod.sides, making.glue_line.m) - making.finish.m


def face_per_height(rod: Rod) -> float:
    """How much a face moves out for a strip that is higher [-]: k, but at least 1."""
    return max(rod.form.closing, 1.0)
