"""What a verb is: one declaration for its name, help, arguments and answer."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

Parser = argparse.ArgumentParser


@dataclass(frozen=True, slots=True)
class Answer:
    """What a verb found: the ``result`` for ``--json``, a way to put it in words, and the exit code."""

    result: Any
    words: Callable[[], str]
    exit_code: int = 0


@dataclass(frozen=True, slots=True)
class Verb:
    """A verb: ``name``, one line of ``help``, its arguments, and what it does."""

    name: str
    help: str
    arguments: Callable[[Parser], None]
    run: Callable[[argparse.Namespace], Answer]
