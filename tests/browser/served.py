"""A workbench over one shop, served from this process, and what a gauge does to its page."""

from __future__ import annotations

import socket
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from culmwright.ledger.readings import current
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.workshop.opening import begin, find
from culmwright.workshop.starting import rod_text

WALK = "/R1.1/bench/read?stage={stage}&section=T1&strips={strips}&cut=1&unit=in"
SEND = """([raw, gap, end, from]) => {
  let t = performance.now() + (from ?? 0);
  for (const key of [...raw, ...(end ? [end] : [])]) {
    const event = new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true });
    Object.defineProperty(event, "timeStamp", { value: t });
    (document.activeElement ?? document.body).dispatchEvent(event);
    t += gap;
  }
}"""
"""Keys at given times: a slow machine is no slow gauge."""
ARGS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"),
    *("--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP bench.lan 127.0.0.1"),
    "--autoplay-policy=no-user-gesture-required",
]


@dataclass
class Served:
    """A workbench over one shop's file, which can be stopped and started again at the same port."""

    file: Path
    port: int
    names: tuple[str, ...] = ("127.0.0.1", "localhost", "bench.lan")
    server: object = None
    thread: threading.Thread | None = None
    desk: object = None

    @property
    def address(self):
        return f"http://127.0.0.1:{self.port}"

    def start(self):
        import uvicorn

        from culmwright.web.app import create_app

        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(("127.0.0.1", self.port))
        self.port = listener.getsockname()[1]
        app = create_app(self.file, tuple(f"{name}:{self.port}" for name in self.names))
        self.desk = app.state.desk
        self.server = uvicorn.Server(
            uvicorn.Config(app, log_level="critical", lifespan="off", timeout_graceful_shutdown=1)
        )
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [listener]}, daemon=True)
        self.thread.start()
        until = time.monotonic() + 30
        while not self.server.started and time.monotonic() < until:
            time.sleep(0.02)
        return self

    def stop(self):
        self.server.force_exit = True
        self.server.should_exit = True
        self.thread.join(10)
        self.desk.close()

    def kept(self, stage="rough"):
        """What counts now: (spot, text, id), in the order kept."""
        with open_shop(self.file, write=False) as shop:
            every = current(shop, find(shop, "R1").revision.id, stage=stage)
        return [
            (str(one.entry.cell.spot), one.entry.value.text if one.entry.value else None, one.entry.id) for one in every
        ]


def new_shop(folder, rod="thrimble-beck"):
    """The file of a shop with one rod in it, nothing read."""
    (folder / "rod.toml").write_text(rod_text(rod))
    with create_shop(folder / "shop.sqlite") as shop:
        begin(shop, str(folder / "rod.toml"))
    return folder / "shop.sqlite"
