"""``python -m culmwright.web``: open the shop's pages. The verb ``serve`` starts it."""

from __future__ import annotations

import argparse
import logging
import socket
import ssl
import sys
from pathlib import Path

import uvicorn
from fastapi import FastAPI

from culmwright.measure.errors import BadInput, CulmwrightError
from culmwright.web.app import create_app, hosts_of
from culmwright.web.doors import OnNetwork
from culmwright.web.peers import Reach, must_be_host
from culmwright.workshop.admitting import Right
from culmwright.workshop.opening import shop_file


def main() -> int:
    """Serve until Ctrl-C; exit code 2 with a sentence where it cannot be."""
    parser = argparse.ArgumentParser(prog="culmwright serve")
    parser.add_argument("--port", type=int, required=True)
    parser.add_argument("--shop")
    parser.add_argument("--lan", action="store_true")
    parser.add_argument("--tls", action="store_true")
    parser.add_argument("--name", action="append", default=[])
    args = parser.parse_args()
    logging.basicConfig(format="%(asctime)s %(message)s", level=logging.WARNING)
    try:
        return _serve(args)
    except CulmwrightError as fault:
        print(f"culmwright: {fault}", file=sys.stderr)
        return fault.exit_code


def _serve(args: argparse.Namespace) -> int:
    if not args.lan and (args.tls or args.name):
        option = "--tls" if args.tls else "--name"
        raise BadInput("this is for a workbench on the network", where=option, remedy="Add --lan, or leave it out")
    names = [must_be_host(one) for one in args.name]
    listeners = _listen(args.port, lan=args.lan)
    port = listeners[0].getsockname()[1]
    if args.lan:
        app, secured = _on_network(args, names, port)
    else:
        app, secured = create_app(args.shop, hosts_of(port)), None
        _say(f"The shop is open at http://127.0.0.1:{port}/ on this machine only. Stop it with Ctrl-C.")
    config = uvicorn.Config(
        app,
        log_level="warning",
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=3,
        ssl_context_factory=None if secured is None else lambda config, default: secured,
    )
    uvicorn.Server(config).run(sockets=listeners)
    return 0


def _on_network(args: argparse.Namespace, names: list[str], port: int) -> tuple[FastAPI, ssl.SSLContext | None]:
    """The workbench for the network, announced, and what it speaks TLS with."""
    reach = Reach(port, secure=args.tls, names=names)
    app = create_app(args.shop, reach=reach)
    secured = _secured(shop_file(args.shop), reach) if args.tls else None
    door: OnNetwork = app.state.door
    code = door.admission.new_code(Right.BENCH)
    _say(f"The shop is open to its network. On this machine: {reach.scheme}://localhost:{port}/")
    for one in reach.addresses:
        _say(f"From another device: {one}pair")
    _say(f"Code for one device at the bench, for ten minutes: {code.shown}")
    if reach.addresses:
        _say(_drawn(f"{reach.addresses[0]}pair#{code.text}"))
    if not args.tls:
        _say("This is plain http: whoever is on this network could listen. With --tls nobody can.")
    _say("Stop it with Ctrl-C.")
    return app, secured


def _secured(file: Path, reach: Reach) -> ssl.SSLContext:
    """What to speak TLS with; its certificate is made anew when this machine gets another address."""
    from culmwright.workshop.certifying import certify, context_of

    context = context_of(certify(file, reach.identities))
    reach.changed = lambda identities: context.load_cert_chain(certify(file, identities))
    return context


def _drawn(address: str) -> str:
    """The address and its code to be scanned off the screen."""
    import io

    import segno

    out = io.StringIO()
    segno.make(address, error="m", micro=False).terminal(out, border=2, compact=True)
    return out.getvalue()


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def _listen(port: int, *, lan: bool) -> list[socket.socket]:
    """Sockets on this machine's own address, or with ``lan`` on all of them; refuses where the port cannot be had."""
    if not 0 <= port <= 65535:
        raise BadInput(f"{port} is no port", where="--port", remedy="Give a number from 1024 to 65535")
    listeners: list[socket.socket] = []
    places = [(socket.AF_INET, "0.0.0.0" if lan else "127.0.0.1")]
    if lan and socket.has_ipv6:
        places.append((socket.AF_INET6, "::"))
    for family, address in places:
        # the protocol is named, else asyncio leaves small answers to wait 40 ms for the next packet
        listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            listener.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        try:
            listener.bind((address, listeners[0].getsockname()[1] if listeners else port))
            listener.listen()
        except OSError as fault:
            listener.close()
            if listeners:
                continue  # a machine without IPv6
            raise BadInput(
                f"port {port} cannot be had ({fault.strerror})", where="--port", remedy="Name another"
            ) from None
        listeners.append(listener)
    return listeners


if __name__ == "__main__":
    sys.exit(main())
