"""From a deviation to the next cut: the pass or pair of passes, and how far the stop or groove moves."""

from __future__ import annotations

from dataclasses import dataclass

from culmwright.bench.passes import SAME, TOO_THIN, Depths, round_depths
from culmwright.design.rod import Cutter
from culmwright.design.strip import StripForm
from culmwright.measure.display import Display
from culmwright.measure.record import si
from culmwright.rigs.cutter import fall_per_depth, strokes_per_round


@dataclass(frozen=True, slots=True)
class Cutting:
    """What strips are cut with: their ``form``, the ``cutter``, and the ``depths`` a pass may go."""

    form: StripForm
    cutter: Cutter
    depths: Depths

    @property
    def fall_per_round(self) -> float:
        """Fall of the strip's height [-] for a round of unit depth: one pass, or one on each flank."""
        return fall_per_depth(self.cutter, self.form) * strokes_per_round(self.cutter)


@dataclass(frozen=True, slots=True)
class NextCut:
    """The next round of passes on a strip: ``depth`` of each pass and the ``fall`` of the height it brings.

    ``strokes`` is 2 for a pair, one on each flank; ``rounds`` counts this one and those still to come.
    """

    depth: float = si("m")
    fall: float = si("m")
    strokes: int = si("-")
    rounds: int = si("-")

    @property
    def thin(self) -> bool:
        """True if a pass is so thin that the edge may rub instead of cutting."""
        return self.depth < TOO_THIN - SAME

    def words(self, display: Display) -> str:
        """``one pair of passes of 0.6``, or ``a pair of passes of 4.0, the first of 6 pairs``."""
        pair = self.strokes == 2
        what = f"{'pair of passes' if pair else 'pass'} of {display.small.number(self.depth)}"
        if self.rounds == 1:
            return f"one {what}"
        return f"a {what}, the first of {self.rounds} {'pairs' if pair else 'passes'}"


def next_cut(over: float, cutting: Cutting) -> NextCut | None:
    """The next round for a strip ``over`` [m] its target; None where that is too thin to cut.

    Too thin is a total under :data:`~culmwright.bench.passes.TOO_THIN`: no edge takes it off.
    """
    if over < TOO_THIN - SAME:
        return None
    depths = round_depths(over / cutting.fall_per_round, cutting.depths)
    return NextCut(
        depth=depths[0],
        fall=depths[0] * cutting.fall_per_round,
        strokes=strokes_per_round(cutting.cutter),
        rounds=len(depths),
    )


@dataclass(frozen=True, slots=True)
class Move:
    """How far to move what sets the height: ``change`` [m], and the ``words`` for it."""

    change: float = si("m")
    words: str = si("")


def stop_move(deviation: float, display: Display) -> Move:
    """Move of a guided cutter's stop for a reading ``deviation`` [m] over: down by as much. Below zero is down."""
    change = -deviation
    return Move(change, f"stop {'down' if change < 0 else 'up'} by {display.small(abs(change))}")


def groove_move(deviation: float, form: StripForm, display: Display) -> Move:
    """Move of a groove's depth for a reading ``deviation`` [m] over: shallower by ``e h_f/h``.

    A change below zero is shallower. ``h_f/h = 2 sin(alpha/2)`` is 1, 1.1756 and 1.4142 for six, five and four
    sides. Plane geometry.
    """
    change = -deviation * form.flank_altitude
    return Move(change, f"groove {'shallower' if change < 0 else 'deeper'} by {display.small(abs(change))}")
