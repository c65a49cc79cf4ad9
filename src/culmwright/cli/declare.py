"""What a verb is: one declaration for its name, help, arguments and answer."""

from __future__ import annotations

import argparse
import sys
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


def say_if_first(first_time: Callable[[], bool]) -> None:
    """Say on standard error that a part of the mechanics has to be compiled, where ``first_time`` finds that it does.

    Bending, swinging and proof are compiled each when it is first asked for, so that no verb waits for another's.
    """
    if first_time():
        said = "Making the mechanics of this verb ready for this computer: done once, up to a minute ..."
        print(said, file=sys.stderr, flush=True)


@dataclass(frozen=True, slots=True)
class Verb:
    """A verb: ``name``, one line of ``help``, its arguments, and what it does."""

    name: str
    help: str
    arguments: Callable[[Parser], None]
    run: Callable[[argparse.Namespace], Answer]
