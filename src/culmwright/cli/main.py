"""The command ``culmwright VERB …``."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from culmwright import __version__
from culmwright.cli.verbs import VERBS
from culmwright.measure.errors import CulmwrightError
from culmwright.measure.record import to_json


class Parser(argparse.ArgumentParser):
    """An argument parser that refuses in the project's words: what, then the remedy."""

    def error(self, message: str) -> NoReturn:
        """Say what was wrong with the command and where to look; exit code 2."""
        self.exit(2, f"{self.prog}: {message}. See {self.prog} --help.\n")


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
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    args = build_parser().parse_args(argv)
    try:
        answer = args.run(args)
        print(json.dumps(to_json(answer.result), ensure_ascii=False) if args.json else answer.words())
        sys.stdout.flush()
    except CulmwrightError as fault:
        return _refuse(fault, as_json=args.json)
    except BrokenPipeError:  # the reader, a pager for instance, went away: nobody is left to tell
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
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
        return 70
    return int(answer.exit_code)


def _refuse(fault: CulmwrightError, *, as_json: bool) -> int:
    if as_json:
        print(
            json.dumps(
                {"error": {"what": fault.what, "where": fault.where, "remedy": fault.remedy}}, ensure_ascii=False
            )
        )
    print(f"culmwright: {fault}", file=sys.stderr)
    return fault.exit_code
