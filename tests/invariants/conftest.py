"""How much the random tests search, and what stops one that would never end."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from random import Random

import pytest

TIMES = {"commit": 1, "nightly": 20, "release": 200}
SLOWEST = 5.0  # [s] for one case: a thousand times what it takes, so that a busy machine is not taken for a hang


@pytest.fixture
def depth() -> int:
    """Factor on the number of random cases; the first run of a commit draws the same ones every time."""
    return TIMES[os.environ.get("CULMWRIGHT_SOAK", "commit")]


@pytest.fixture
def draw(request: pytest.FixtureRequest, depth: int) -> Random:
    """Random numbers of the test's own: the same in every commit run, others in a deeper search."""
    return Random(request.node.name if depth == 1 else os.urandom(16))


def _over_time(signum: int, frame: object) -> None:
    raise TimeoutError(f"a case ran for {SLOWEST:g} s")


@pytest.fixture
def bounded() -> Iterator[Callable[[], AbstractContextManager[None]]]:
    """A context that raises ``TimeoutError`` in a case that hangs (where the system has alarms)."""

    @contextmanager
    def bound() -> Iterator[None]:
        signal.setitimer(signal.ITIMER_REAL, SLOWEST)
        try:
            yield
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)

    @contextmanager
    def unbound() -> Iterator[None]:
        yield

    if not hasattr(signal, "setitimer"):
        yield unbound
        return
    before = signal.signal(signal.SIGALRM, _over_time)
    yield bound
    signal.signal(signal.SIGALRM, before)
