"""The shop as the workbench holds it: opened once, for as long as its file is the same file."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from culmwright.workshop.bench_walk import newest_row, still_holds
from culmwright.workshop.opening import Damaged, Shop, shop_file, the_shop


class Desk:
    """One shop's file, held open between requests and shared by them in turn."""

    def __init__(self, file: str | Path | None) -> None:
        self.file = shop_file(file)
        self._lock = threading.Lock()
        self._shop: Shop | None = None
        self._seen: tuple[int, int] | None = None
        self._lost = ""
        self._newest = ""
        self._era = ""

    @property
    def begun(self) -> bool:
        """True once there is a shop in the file."""
        return self.file.exists()

    @property
    def damage(self) -> str:
        """What is wrong with the shop's file, as it was when it was opened; "" for a sound one."""
        return self._shop.damage if self._shop is not None else self._lost

    @contextmanager
    def shop(self, *, start: bool = False) -> Iterator[Shop]:
        """The shop, opened now if it was not or if its file was put back from a backup; made if ``start``.

        A damaged one is opened for reading as far as it goes, and refuses to be written to. Raises
        :class:`BadInput` where there is none or it cannot be used.
        """
        with self._lock:
            if self._shop is not None and self._seen != self._file_seen():
                self._close()
            if self._shop is None:
                self._shop = self._opened(start=start)
                self._seen = self._file_seen()
            shop = self._shop
        yield shop

    def era(self, shop: Shop) -> str:
        """Another word after every opening, and after a backup was put back into the open file by another program: what
        was seen before may not be so any more.
        """
        with self._lock:
            if self._newest and not still_holds(shop, self._newest):
                self._era = secrets.token_hex(4)
            self._newest = newest_row(shop)
            return self._era

    def _opened(self, *, start: bool) -> Shop:
        self._lost, self._era = "", secrets.token_hex(4)
        try:
            return the_shop(self.file, start=start)
        except Damaged as fault:
            self._lost = str(fault)
            return the_shop(self.file, write=False)

    @contextmanager
    def alone(self) -> Iterator[Path]:
        """The shop's file, let go of, while it is replaced or read in whole; nobody opens it meanwhile."""
        with self._lock:
            self._close()
            yield self.file

    def close(self) -> None:
        """Let go of the file, as before it is replaced."""
        with self._lock:
            self._close()

    def _close(self) -> None:
        if self._shop is not None:
            self._shop.close()
            self._shop = None
            self._lost = ""

    def _file_seen(self) -> tuple[int, int] | None:
        try:
            state = self.file.stat()
        except FileNotFoundError:
            return None
        return state.st_dev, state.st_ino
