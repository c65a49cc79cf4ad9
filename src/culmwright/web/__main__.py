"""``python -m culmwright.web``: open the shop's pages on this machine. The verb ``serve`` starts it."""

from __future__ import annotations

import argparse
import socket
import sys

import uvicorn

from culmwright.measure.errors import BadInput, CulmwrightError
from culmwright.web.app import create_app, hosts_of


def main() -> int:
    """Serve until Ctrl-C; exit code 2 with a sentence where the port cannot be had."""
    parser = argparse.ArgumentParser(prog="culmwright serve")
    parser.add_argument("--port", type=int, required=True)
    parser.add_argument("--shop")
    args = parser.parse_args()
    try:
        listener = _listen(args.port)
    except CulmwrightError as fault:
        print(f"culmwright: {fault}", file=sys.stderr)
        return fault.exit_code
    port = listener.getsockname()[1]
    said = f"The shop is open at http://127.0.0.1:{port}/ on this machine only. Stop it with Ctrl-C."
    print(said, file=sys.stderr, flush=True)
    config = uvicorn.Config(create_app(args.shop, hosts_of(port)), log_level="warning", server_header=False)
    uvicorn.Server(config).run(sockets=[listener])
    return 0


def _listen(port: int) -> socket.socket:
    """A socket on this machine's own address; ``BadInput`` where the port cannot be had."""
    if not 0 <= port <= 65535:
        raise BadInput(f"{port} is no port", where="--port", remedy="Give a number from 1024 to 65535")
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
        listener.listen()
    except OSError as fault:
        listener.close()
        raise BadInput(f"port {port} cannot be had ({fault.strerror})", where="--port", remedy="Name another") from None
    return listener


if __name__ == "__main__":
    sys.exit(main())
