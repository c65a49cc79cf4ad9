"""The verb ``serve``: the shop's pages on this machine, opened by a process of their own."""

from __future__ import annotations

import argparse
import subprocess
import sys

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb


def _serve_arguments(parser: Parser) -> None:
    parser.add_argument("--port", type=int, default=8642, metavar="N", help="port on this machine (default 8642)")
    shop_option(parser)


def _serve(args: argparse.Namespace) -> Answer:
    command = [sys.executable, "-m", "culmwright.web", "--port", str(args.port)]
    if args.shop is not None:
        command += ["--shop", args.shop]
    pages = subprocess.Popen(command)
    try:
        code = pages.wait()
    except KeyboardInterrupt:
        code = pages.wait()  # it got the same Ctrl-C and closes by itself
    return Answer({"port": args.port}, lambda: "The shop's pages are closed.", exit_code=2 if code == 2 else 0)


SERVE_VERB = Verb("serve", "show the shop and its rods as pages on this machine", _serve_arguments, _serve)
