"""The walk: which cell is read next, as a value that every step makes anew.

A cell is one strip of one section at one station after one pass. The order is the maker's; a reading arms the
next open cell by itself, so that 60 readings cost 60 inputs. Nothing is overwritten: a cell read again has
both entries, and the later one stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from culmwright.measure.errors import BadInput
from culmwright.measure.lengths import Length
from culmwright.measure.spot import Spot


@dataclass(frozen=True, slots=True)
class Cell:
    """One place to read: ``strip`` of ``section`` at ``station``, after pass number ``cut``."""

    section: str
    strip: int
    station: Length
    cut: int

    @property
    def spot(self) -> Spot:
        """Its address, which the pass is not part of."""
        return Spot(self.section, self.strip, self.station)


@dataclass(frozen=True, slots=True)
class Stretch:
    """One section to be walked: its strips and stations as they lie, and how many passes are read."""

    section: str
    strips: tuple[int, ...]
    stations: tuple[Length, ...]
    cuts: int = 1


class Inner(Enum):
    """What changes from one cell to the next within a section."""

    STATIONS = "strip by strip"
    STRIPS = "station by station"


@dataclass(frozen=True, slots=True)
class Order:
    """How a plan is walked: section after section, pass after pass, then by ``inner``.

    ``backward`` walks strips and stations from their last to their first; sections and passes keep their
    order, since a later pass cannot be read before an earlier one.
    """

    inner: Inner = Inner.STATIONS
    backward: bool = False

    def cells(self, plan: Sequence[Stretch]) -> tuple[Cell, ...]:
        """Every cell of ``plan`` in this order."""
        return tuple(cell for stretch in plan for cut in range(1, stretch.cuts + 1) for cell in self._lap(stretch, cut))

    def _lap(self, stretch: Stretch, cut: int) -> Iterator[Cell]:
        if self.inner is Inner.STATIONS:
            pairs = [(strip, station) for strip in stretch.strips for station in stretch.stations]
        else:
            pairs = [(strip, station) for station in stretch.stations for strip in stretch.strips]
        for strip, station in reversed(pairs) if self.backward else pairs:
            yield Cell(stretch.section, strip, station, cut)


@dataclass(frozen=True, slots=True)
class Filled:
    """A cell read: ``value`` is the length kept."""

    cell: Cell
    value: Length


@dataclass(frozen=True, slots=True)
class Skipped:
    """A cell left out, and why."""

    cell: Cell
    reason: str


Entry = Filled | Skipped


@dataclass(frozen=True, slots=True)
class Walk:
    """Where a maker is: the ``cells`` in order, every entry made so far, and the cell that is ``armed``.

    ``entries`` are in the order made and none is ever replaced. ``armed`` is None once every cell has one.
    """

    cells: tuple[Cell, ...]
    entries: tuple[Entry, ...]
    armed: Cell | None

    @classmethod
    def begin(cls, cells: Sequence[Cell], entries: Sequence[Entry] = (), start: Cell | None = None) -> Walk:
        """A walk over ``cells`` with the ``entries`` made before, armed at ``start`` or the first open cell."""
        if not cells or len(set(cells)) != len(cells):
            raise BadInput(
                "a walk needs cells, each of them once",
                where="walk",
                remedy="Give the sections their strips and stations",
            )
        for entry in entries:
            _known(entry.cell, cells)
        walk = cls(tuple(cells), tuple(entries), None)
        return replace(walk, armed=walk._open_from(0)) if start is None else walk.arm(start)

    @property
    def standing(self) -> dict[Cell, Entry]:
        """The entry that stands for each cell that has one: the last made."""
        return {entry.cell: entry for entry in self.entries}

    @property
    def open(self) -> tuple[Cell, ...]:
        """The cells without an entry, in order."""
        done = self.standing
        return tuple(cell for cell in self.cells if cell not in done)

    def read(self, value: Length) -> Walk:
        """The walk after the armed cell was read as ``value``, the next open cell armed."""
        return self._with(Filled(self._armed(), value))

    def skip(self, reason: str) -> Walk:
        """The walk after the armed cell was left out for ``reason``, the next open cell armed."""
        if not reason.strip():
            raise BadInput("a cell is skipped for a reason", where="skip", remedy="Say why in a word or two")
        return self._with(Skipped(self._armed(), reason.strip()))

    def arm(self, cell: Cell) -> Walk:
        """The walk with ``cell`` armed, open or not: to start anywhere, or to read it again."""
        _known(cell, self.cells)
        return replace(self, armed=cell)

    def onward(self) -> Walk:
        """The walk one cell on, without an entry; the last cell is followed by the first."""
        return self._stepped(1)

    def back(self) -> Walk:
        """The walk one cell back; at its last cell once every one is done."""
        return self._stepped(-1)

    def undo(self) -> Walk:
        """The walk before its last entry, whose cell is armed again."""
        if not self.entries:
            raise BadInput("there is nothing to undo", where="undo", remedy="Read the armed cell")
        return replace(self, entries=self.entries[:-1], armed=self.entries[-1].cell)

    def _armed(self) -> Cell:
        if self.armed is None:
            raise BadInput(
                "no cell is armed: every one has its entry",
                where="walk",
                remedy="Go back to a cell to read it again",
            )
        return self.armed

    def _with(self, entry: Entry) -> Walk:
        after = replace(self, entries=(*self.entries, entry))
        return replace(after, armed=after._open_from(self.cells.index(entry.cell)))

    def _open_from(self, index: int) -> Cell | None:
        """The first open cell from ``index`` on, round past the end; None if every cell has an entry."""
        done = self.standing
        return next((cell for cell in (*self.cells[index:], *self.cells[:index]) if cell not in done), None)

    def _stepped(self, step: int) -> Walk:
        if self.armed is None:
            return replace(self, armed=self.cells[0] if step > 0 else self.cells[-1])
        return replace(self, armed=self.cells[(self.cells.index(self.armed) + step) % len(self.cells)])


def _known(cell: Cell, cells: Sequence[Cell]) -> None:
    if cell not in cells:
        raise BadInput(
            f"{cell.spot} is not on this walk", where="walk", remedy="Name a section, strip and station of it"
        )
