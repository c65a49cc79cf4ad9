"""What one stroke of each kind of cutter does to a strip."""

from __future__ import annotations

from culmwright.design.rod import Cutter
from culmwright.design.strip import StripForm


def fall_per_depth(cutter: Cutter, form: StripForm) -> float:
    """Fall of the strip's height for a pass of unit depth [-].

    A two-edged cutter lowered by p takes both flanks: 1. A flat iron takes one flank by p square to itself:
    ``h/h_f = 1/(2 sin(alpha/2))``, which is 1, 0.8507 and 0.7071 for six, five and four sides. Plane geometry.
    """
    return 1.0 if cutter is Cutter.TWO_EDGED else 1 / form.flank_altitude


def strokes_per_round(cutter: Cutter) -> int:
    """Strokes that leave a strip even [-]: one for a two-edged cutter, one on each flank for a flat iron."""
    return 1 if cutter is Cutter.TWO_EDGED else 2
