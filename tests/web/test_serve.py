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


def served(*options):
    """The command with ``--lan`` and what it says until it is ready, then stopped."""
    command = [sys.executable, "-m", "culmwright", "serve", "--port", "0", *options]
    return subprocess.Popen(command, stderr=subprocess.PIPE, text=True, start_new_session=True)


@pytest.mark.parametrize("tls", [False, True])
def test_on_the_network_it_says_where_and_how_to_come_in(own_shop, tls):
    import os
    import ssl

    pages = served("--lan", *(["--tls"] if tls else []), "--name", "bench.lan", "--shop", str(own_shop))
    said = []
    try:
        while not (said and said[-1].startswith("Stop it")):
            said.append(pages.stderr.readline())
            assert pages.poll() is None
        scheme = "https" if tls else "http"
        address = said[0].split()[-1]
        assert address.startswith(f"{scheme}://localhost:")
        port = address.rpartition(":")[2].strip("/")
        assert f"From another device: {scheme}://bench.lan:{port}/pair\n" in said
        (code,) = [line.split(": ")[1] for line in said if line.startswith("Code for one device")]
        assert len(code.replace(" ", "").strip()) == 8
        assert ("This is plain http" in "".join(said)) is not tls
        context = ssl.create_default_context(cafile=str(own_shop.with_name("shop-authority.crt"))) if tls else None
        with urllib.request.urlopen(address, timeout=60, context=context) as answer:
            assert "Thrimble Beck" in answer.read().decode()
            assert "server" not in answer.headers
    finally:
        os.killpg(pages.pid, signal.SIGINT)
        pages.wait(60)
        pages.stderr.close()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--tls"], "culmwright: --tls: this is for a workbench on the network. Add --lan, or leave it out.\n"),
        (["--name", "x"], "culmwright: --name: this is for a workbench on the network. Add --lan, or leave it out.\n"),
        (["--lan", "--name", "a b"], 'culmwright: --name: "a b" is no name of a host. Give one like bench.local.\n'),
        (
            ["--lan", "--shop", "/nowhere/at/all.sqlite"],
            "without a secret kept beside the shop it is not opened to the network",
        ),
    ],
)
def test_what_cannot_be_served_is_said(options, said):
    pages = served(*options)
    _, told = pages.communicate(timeout=60)
    assert pages.returncode == 2
    assert said in told
    assert "Traceback" not in told
