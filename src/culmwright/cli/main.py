"""The command ``culmwright VERB …``."""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar, NoReturn

from culmwright import __version__
from culmwright.cli.verbs import VERBS
from culmwright.measure.errors import BadInput, CulmwrightError, NotThere
from culmwright.measure.record import to_json

_MINUS = re.compile(r"-[0-9.,⅛⅜⅝⅞¼½¾]")


class Parser(argparse.ArgumentParser):
    """An argument parser that refuses in the project's words: what, then the remedy; ``as_json`` also as a document."""

    as_json = False
    typed: ClassVar[list[str]] = []

    def error(self, message: str) -> NoReturn:
        """Say what was wrong with the command and where to look; exit code 2."""
        remedy = f"See {self.prog} --help"
        if hint := in_quotes(self.typed):
            remedy = hint
        if self.as_json:
            _print_problem(message, "", remedy)
        self.exit(2, f"{self.prog}: {message}. {remedy}.\n")


def build_parser() -> argparse.ArgumentParser:
    """The parser of the whole command, one subparser for each verb."""
    parser = Parser(
        prog="culmwright",
        description="From a taper on paper to a split-cane rod, and the proof that it is the rod that was drawn.",
        epilog="Begin with: culmwright new my-rod.toml",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"culmwright {__version__}")
    verbs = parser.add_subparsers(title="verbs", metavar="VERB", required=True, parser_class=Parser)
    for verb in VERBS:
        one = verbs.add_parser(
            verb.name, help=verb.help, description=f"{verb.help[0].upper()}{verb.help[1:]}.", allow_abbrev=False
        )
        verb.arguments(one)
        one.add_argument(
            "--json", action="store_true", help="one JSON document on standard output, SI units in its keys"
        )
        one.set_defaults(run=verb.run)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one verb; the exit code is 0 done, 1 the answer is no, 2 bad input or usage."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # matrices of a rod are too small to be shared out
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    typed = _joined(list(sys.argv[1:] if argv is None else argv))
    Parser.as_json, Parser.typed = "--json" in typed, typed
    args = build_parser().parse_args(typed)
    try:
        answer = args.run(args)
        print(json.dumps(to_json(answer.result), ensure_ascii=False) if args.json else answer.words())
        sys.stdout.flush()
    except CulmwrightError as fault:
        if isinstance(fault, NotThere) and (hint := in_quotes(typed)):
            fault = BadInput(fault.what, where=fault.where, remedy=hint)
        return _refuse(fault, as_json=args.json)
    except BrokenPipeError:  # the reader, a pager for instance, went away: nobody is left to tell
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except OSError as fault:
        print(f"culmwright: the answer cannot be written ({fault.strerror}). Check where it goes.", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("culmwright: stopped; nothing was left half-written.", file=sys.stderr)
        return 130
    except Exception as fault:  # the last door: a fault of ours is said in words, not as a traceback
        if os.environ.get("CULMWRIGHT_TRACE"):
            raise
        print(
            f"culmwright: this is a mistake of the program, not yours ({type(fault).__name__}: {fault}). "
            "Nothing was left half-written. Run it again with CULMWRIGHT_TRACE=1 set and report what it prints.",
            file=sys.stderr,
        )
        return 1
    return int(answer.exit_code)


def _refuse(fault: CulmwrightError, *, as_json: bool) -> int:
    if as_json:
        _print_problem(fault.what, fault.where, fault.remedy)
    print(f"culmwright: {fault}", file=sys.stderr)
    return fault.exit_code


def _print_problem(what: str, where: str, remedy: str) -> None:
    print(json.dumps({"error": {"what": what, "where": where, "remedy": remedy}}, ensure_ascii=False))


def in_quotes(typed: list[str]) -> str:
    """What to do where words typed one after the other are together the name of a file; empty where they are not."""
    for first in range(1, len(typed)):
        for last in range(first + 2, len(typed) + 1):
            name = " ".join(typed[first:last])
            if not Path(typed[first]).exists() and Path(name).is_file():
                return f'Put the name of the file in quotes: "{name}"'
    return ""


def _joined(typed: list[str]) -> list[str]:
    """The arguments with values that begin with a minus tied to their option: ``--now -1/16in`` is no option -1."""
    tied: list[str] = []
    for word in typed:
        if tied and tied[-1].startswith("--") and "=" not in tied[-1] and _MINUS.match(word):
            tied[-1] = f"{tied[-1]}={word}"
        else:
            tied.append(word)
    return tied
