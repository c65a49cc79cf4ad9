"""The verb ``serve``: the shop's pages on this machine or for its network, opened by a process of their own."""

from __future__ import annotations

import argparse
import subprocess
import sys

from culmwright.cli.bench_verbs import shop_option
from culmwright.cli.declare import Answer, Parser, Verb


def _serve_arguments(parser: Parser) -> None:
    parser.add_argument("--port", type=int, default=8642, metavar="N", help="port on this machine (default 8642)")
    parser.add_argument("--lan", action="store_true", help="open it to the shop's network, for devices that are paired")
    parser.add_argument("--tls", action="store_true", help="with --lan: over https, with a certificate of the shop's")
    parser.add_argument(
        "--name", action="append", metavar="HOST", help="with --lan: a name this machine is known by; may be repeated"
    )
    shop_option(parser)


def _serve(args: argparse.Namespace) -> Answer:
    command = [sys.executable, "-m", "culmwright.web", "--port", str(args.port)]
    if args.shop is not None:
        command += ["--shop", args.shop]
    command += ["--lan"] if args.lan else []
    command += ["--tls"] if args.tls else []
    for name in args.name or ():
        command += ["--name", name]
    pages = subprocess.Popen(command)
    try:
        code = pages.wait()
    except KeyboardInterrupt:
        code = pages.wait()  # it got the same Ctrl-C and closes by itself
    return Answer({"port": args.port}, lambda: "The shop's pages are closed.", exit_code=2 if code == 2 else 0)


SERVE_VERB = Verb("serve", "show the shop and its rods as pages, here or on the network", _serve_arguments, _serve)
