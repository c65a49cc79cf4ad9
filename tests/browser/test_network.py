"""A tablet on the shop's network, over plain http and over TLS with the shop's own certificate.

``bench.lan`` is a name that the browser is told to find on this machine: for the browser that is another machine, and
over plain http no secure context.
"""

from __future__ import annotations

import ipaddress
import socket
import ssl
import threading
import time
import urllib.error
import urllib.request

import pytest

pytestmark = pytest.mark.needs_chromium

PAGES = ["/", "/R1", "/R1/strips", "/R1/bench", "/state", "/scan", "/s/R1/T1/S3", "/R1/labels", "/api"]


class Network:
    """A workbench on the network whose only peer is a browser on this machine that counts as another."""

    def __init__(self, folder, scheme):
        import uvicorn

        from culmwright.ledger.shop import create_shop
        from culmwright.web.app import create_app
        from culmwright.web.doors import OnNetwork
        from culmwright.web.peers import Reach, Standing
        from culmwright.workshop.admitting import Admission
        from culmwright.workshop.certifying import certify, context_of
        from culmwright.workshop.opening import begin
        from culmwright.workshop.starting import rod_text

        class Elsewhere(OnNetwork):
            @staticmethod
            def _is_here(request):
                return False

        (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
        self.file = folder / "shop.sqlite"
        with create_shop(self.file) as shop:
            begin(shop, str(folder / "rod.toml"))
        self.listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        self.listener.bind(("127.0.0.1", 0))
        port = self.listener.getsockname()[1]
        secure = scheme == "https"
        here = Standing(ipaddress.ip_address("192.168.7.20"), ipaddress.ip_network("192.168.7.0/24"))
        reach = Reach(port, secure=secure, names=["bench.lan"], find=lambda: (here,))
        self.admission = Admission(self.file, must=True)
        app = create_app(self.file, reach=reach, door=Elsewhere(self.admission, secure=secure))
        context = context_of(certify(self.file, reach.identities)) if secure else None
        config = uvicorn.Config(
            app, log_level="critical", proxy_headers=False,
            ssl_context_factory=(lambda config, default: context) if secure else None,
        )  # fmt: skip
        self.address, self.port, self.app = f"{scheme}://bench.lan:{port}", port, app
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [self.listener]}, daemon=True)
        self.thread.start()
        until = time.monotonic() + 30
        while not self.server.started and time.monotonic() < until:
            time.sleep(0.05)

    def stop(self):
        self.server.should_exit = True
        self.thread.join(10)
        self.listener.close()
        self.app.state.desk.close()


@pytest.fixture(scope="module", params=["http", "https"])
def network(request, tmp_path_factory):
    made = Network(tmp_path_factory.mktemp(request.param), request.param)
    yield made
    made.stop()


def test_a_tablet_is_paired_works_and_is_sent_away(browser, network):
    from culmwright.workshop.admitting import Right

    secure = network.address.startswith("https")
    context = browser.new_context(ignore_https_errors=True)
    page = context.new_page()
    said, asked = [], []
    page.on("console", lambda message: said.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    assert page.goto(f"{network.address}/").status == 403
    code = network.admission.new_code(Right.KEEP)
    page.goto(f"{network.address}/pair#{code.text}")
    assert page.locator("#code").input_value() == code.text
    assert "#" not in page.url  # the code does not stay in the history
    page.get_by_label("A name for this device").fill("bench tablet")
    page.get_by_role("button", name="Come in").click()
    page.wait_for_url(f"{network.address}/")
    (cookie,) = context.cookies()
    assert cookie["name"] == ("__Host-culmwright" if secure else "culmwright")
    assert (cookie["httpOnly"], cookie["sameSite"], cookie["secure"]) == (True, "Strict", secure)
    assert page.evaluate("isSecureContext") is secure
    for path in PAGES:
        answer = page.goto(network.address + path, wait_until="load")
        assert answer.status == 200, path
        assert ("strict-transport-security" in answer.headers) is secure
    page.goto(f"{network.address}/state")
    page.get_by_text("Safe connection").wait_for()
    told = page.locator("#features").inner_text()
    assert ("no: it is not encrypted" in told) is not secure
    assert "on: readings wait here when the network drops" in told
    page.goto(f"{network.address}/scan")
    page.keyboard.type("r1/t1/s3")
    page.keyboard.press("Enter")
    page.wait_for_url("**/s/r1/t1/s3")
    page.keyboard.type("R1/B")  # back to scanning without a touch
    page.keyboard.press("Enter")
    page.wait_for_url("**/s/R1/B")
    page.goto(f"{network.address}/devices")
    page.get_by_role("button", name="Send bench tablet away").click()
    page.wait_for_load_state()
    assert page.goto(f"{network.address}/").status == 403
    context.close()
    assert [one for one in said if "403" not in one] == []
    assert all(one.startswith((network.address, "data:")) for one in asked)


@pytest.mark.needs_zbar
def test_the_qr_on_the_screen_scans_in_both_themes(browser, network, tmp_path):
    """Read off the screen by zbar: the address with the code behind the #; a label's text."""
    import subprocess

    from culmwright.workshop.admitting import Right

    for theme in ("light", "dark"):
        context = browser.new_context(ignore_https_errors=True, color_scheme=theme)
        page = context.new_page()
        page.goto(f"{network.address}/pair#{network.admission.new_code(Right.KEEP).text}")
        page.get_by_label("A name for this device").fill(f"the {theme} one")
        page.get_by_role("button", name="Come in").click()
        page.wait_for_url(f"{network.address}/")
        page.goto(f"{network.address}/devices")
        page.get_by_role("button", name="Make a code").click()
        page.wait_for_load_state()
        code = network.admission.code
        assert code.right is Right.BENCH  # what is offered first is not the most
        wanted = f"{network.address.partition(':')[0]}://192.168.7.20:{network.port}/pair#{code.text}"
        for path, place, text in (("/devices", ".qr", wanted), ("/R1/labels", ".qr >> nth=3", "R1/T1/S3")):
            page.goto(network.address + path)
            page.locator(place).screenshot(path=tmp_path / "qr.png")
            done = subprocess.run(
                ["zbarimg", "-q", "--raw", str(tmp_path / "qr.png")], capture_output=True, check=False
            )
            assert done.stdout.decode().strip() == text, theme
        context.close()


def test_another_site_cannot_write_through_the_tablet(browser, network):
    """A page of another origin, opened in the paired browser, sends a form and a message: both are refused."""
    from culmwright.workshop.admitting import Right

    context = browser.new_context(ignore_https_errors=True)
    page = context.new_page()
    page.goto(f"{network.address}/pair")
    code = network.admission.new_code(Right.KEEP)
    page.get_by_label("Code").fill(code.shown)
    page.get_by_label("A name for this device").fill("another tablet")
    page.get_by_role("button", name="Come in").click()
    page.wait_for_url(f"{network.address}/")
    other = f"{network.address.replace('bench.lan', 'localhost')}"
    foreign = context.new_page()
    foreign.route("**/foreign", lambda route: route.fulfill(content_type="text/html", body="<p>elsewhere</p>"))
    foreign.goto(f"{other}/foreign")
    with foreign.expect_response("**/data/backup") as sent:
        foreign.evaluate(
            """a => {
              const f = document.createElement('form'); f.method = 'post'; f.action = a;
              document.body.append(f); f.submit();
            }""",
            f"{network.address}/data/backup",
        )
    assert sent.value.status == 403
    foreign.close()
    foreign = context.new_page()
    foreign.route("**/foreign", lambda route: route.fulfill(content_type="text/html", body="<p>elsewhere</p>"))
    foreign.goto(f"{other}/foreign")
    refused = foreign.evaluate(
        """a => fetch(a, {method: 'POST', credentials: 'include', headers: {'x-culmwright-token': 'x'}})
          .then(() => 0, () => 1)""",
        f"{network.address}/api/backups",
    )
    assert refused == 1
    assert not (network.file.parent / "shop-backups").exists()
    context.close()


def test_a_device_that_trusts_the_authority_needs_no_exception(network):
    """The standard library's client, told of the authority only, as a tablet is after installing it."""
    if network.address.startswith("http:"):
        with urllib.request.urlopen(f"http://localhost:{network.port}/certificate", timeout=30) as answer:
            assert b"does not use one" in answer.read()
        return
    address = f"https://localhost:{network.port}/certificate"
    untold = ssl.create_default_context()
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        urllib.request.urlopen(address, timeout=30, context=untold)
    told = ssl.create_default_context(cafile=str(network.file.with_name("shop-authority.crt")))
    with urllib.request.urlopen(address, timeout=30, context=told) as answer:
        text = answer.read().decode()
    assert "Certificate Trust Settings" in text
    assert "Android" in text
    with urllib.request.urlopen(f"{address}/authority.crt", timeout=30, context=told) as answer:
        content = answer.read()
        assert answer.headers["content-type"] == "application/x-x509-ca-cert"
    from hashlib import sha256

    assert sha256(content).digest().hex(":").upper() in text  # the fingerprint that is to be compared


def test_old_tls_is_refused(network):
    if network.address.startswith("http:"):
        with pytest.raises(ssl.SSLError), socket.create_connection(("127.0.0.1", network.port), 10) as bare:
            ssl.create_default_context().wrap_socket(bare, server_hostname="localhost")
        return
    old = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    old.check_hostname, old.verify_mode = False, ssl.CERT_NONE
    old.set_ciphers("ALL:@SECLEVEL=0")
    with pytest.warns(DeprecationWarning):
        old.minimum_version, old.maximum_version = ssl.TLSVersion.TLSv1, ssl.TLSVersion.TLSv1_1
    with pytest.raises(OSError), socket.create_connection(("127.0.0.1", network.port), 10) as bare:
        old.wrap_socket(bare)
