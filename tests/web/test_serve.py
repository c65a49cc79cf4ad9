"""The command opens the pages on this machine only, and says so when it cannot."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
import urllib.request

import pytest


def test_it_serves_the_shop_until_it_is_stopped(shop_file):
    command = [sys.executable, "-m", "culmwright.web", "--port", "0", "--shop", str(shop_file)]
    pages = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    try:
        said = pages.stderr.readline()
        assert said.startswith("The shop is open at http://127.0.0.1:")
        address = said.split()[5]
        with urllib.request.urlopen(address, timeout=60) as answer:
            assert "Thrimble Beck" in answer.read().decode()
    finally:
        pages.send_signal(signal.SIGINT)
        assert pages.wait(60) in (0, -signal.SIGINT, 130)
        pages.stderr.close()


@pytest.mark.parametrize("port", ["taken", "70000"])
def test_a_port_that_cannot_be_had_is_said(shop_file, port):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        number = str(taken.getsockname()[1]) if port == "taken" else port
        command = [sys.executable, "-m", "culmwright", "serve", "--port", number, "--shop", str(shop_file)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.startswith("culmwright: --port: ")
    assert "Traceback" not in done.stderr
