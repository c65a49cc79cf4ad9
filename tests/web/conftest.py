from __future__ import annotations

import ipaddress
import re
import shutil
import sqlite3
from contextlib import ExitStack
from html import unescape

import pytest
from fastapi.testclient import TestClient

from culmwright.bench.judge import Stage
from culmwright.ledger.shop import create_shop, open_shop
from culmwright.web.app import create_app, hosts_of
from culmwright.web.desk import Desk
from culmwright.web.doors import OnNetwork, OwnMachine
from culmwright.web.peers import Reach, Standing
from culmwright.workshop.admitting import Admission
from culmwright.workshop.holding import Holding
from culmwright.workshop.layouts_kept import keep_culm
from culmwright.workshop.opening import begin, find
from culmwright.workshop.reading import read
from culmwright.workshop.serving import enter_gauge
from culmwright.workshop.setting_kept import keep_rig
from culmwright.workshop.starting import culm_text, rod_text, shop_rig_text

HOSTILE = "<script>alert(1)</script>'\"&{{7*7}}"


@pytest.fixture(scope="session")
def shop_file(tmp_path_factory):
    """A shop with two rods: one with a few readings, and one whose words try to be code."""
    folder = tmp_path_factory.mktemp("shop")
    good, bad = folder / "good.toml", folder / "bad.toml"
    good.write_text(rod_text("thrimble-beck"))
    text = rod_text("starter").replace('name = "My rod"', f"name = '''{HOSTILE}'''")
    bad.write_text(text.replace('# wish = "How it should fish"', f"wish = '''{HOSTILE}'''"))
    with create_shop(folder / "shop.sqlite") as shop:
        session = read(shop, begin(shop, str(good)))
        for clock in range(12):
            session.take(f"{session.armed.aim.reading / 0.0254 + 0.0004 * clock:.4f}", clock * 5.0)
        begin(shop, str(bad))
    return folder / "shop.sqlite"


@pytest.fixture(scope="session")
def app(shop_file):
    return create_app(shop_file, (*hosts_of(80), "127.0.0.1"))


@pytest.fixture
def client(app):
    with TestClient(app, base_url="http://127.0.0.1", raise_server_exceptions=False) as opened:
        yield opened


NETWORK = "192.168.7.0/24"
NEAR_PEER, HOST_PEER = ("192.168.7.31", 50000), ("127.0.0.1", 50000)
BENCH_HOST = "192.168.7.20:8642"


@pytest.fixture
def own_shop(shop_file, tmp_path):
    """A copy of the shop that a test may write to."""
    shutil.copyfile(shop_file, tmp_path / "shop.sqlite")
    return tmp_path / "shop.sqlite"


def reach_of(*, secure=False, names=("bench.lan",)):
    """A workbench on a network of its own, whatever networks this machine has."""
    here = Standing(ipaddress.ip_address("192.168.7.20"), ipaddress.ip_network(NETWORK))
    return Reach(8642, secure=secure, names=names, find=lambda: (here,))


@pytest.fixture(scope="session")
def network(tmp_path_factory):
    """One workbench on the network for the shops of many tests."""
    return create_app(tmp_path_factory.mktemp("network") / "shop.sqlite", reach=reach_of())


@pytest.fixture
def lan(own_shop, network):
    """A workbench on the network."""
    network.state.desk, network.state.holding, network.state.reach.stranger = Desk(own_shop), Holding(), ""
    network.state.door = OnNetwork(Admission(own_shop, must=True), secure=False)
    yield network
    network.state.desk.close()


@pytest.fixture
def visit():
    """A browser at a workbench on the network: from where, with which right, over which scheme."""
    opened = ExitStack()

    def browser(app, right=None, peer=NEAR_PEER, host=BENCH_HOST):
        scheme = app.state.reach.scheme
        client = opened.enter_context(
            TestClient(
                app, base_url=f"{scheme}://{host}", client=peer, raise_server_exceptions=False, follow_redirects=False
            )
        )
        if right is not None:
            door = app.state.door
            code = door.admission.new_code(right)
            _, token = door.admission.pair(code.text, f"a device that may {right.value}", peer[0])
            client.cookies.set(door.cookie, token)
        return client

    with opened:
        yield browser


def page_token(client, path="/pair"):
    """The token that the pages of a visitor carry."""
    return re.search(r'<meta name="token" content="([^"]*)">', client.get(path).text)[1]


@pytest.fixture
def token_of():
    """The token that the pages of a visitor carry."""
    return page_token


@pytest.fixture(scope="session")
def form_in():
    """What a browser would send back of a page: every input, textarea and chosen option by name."""

    def read_form(page: str) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for name, value in re.findall(r'<input(?![^>]*type="radio")[^>]*name="(\w+)"[^>]*value="([^"]*)"', page):
            found.setdefault(name, []).append(unescape(value))
        for name, value in re.findall(r'<input type="radio" name="(\w+)" value="(\w+)" checked', page):
            found[name] = [value]
        for name, value in re.findall(r'<textarea[^>]*name="(\w+)"[^>]*>([^<]*)</textarea>', page):
            found[name] = [unescape(value)]
        for name, options in re.findall(r'<select[^>]*name="([\w-]+)"[^>]*>(.*?)</select>', page):
            found[name] = re.findall(r'value="([\w-]+)" selected', options)
        return found

    return read_form


class Rooms:
    """A shop with everything a stage's slips need, its pages, and its ledger to look into."""

    def __init__(self, file, app=None):
        self.file = file
        self.client = TestClient(
            app or create_app(file, ("127.0.0.1",)),
            base_url="http://127.0.0.1",
            raise_server_exceptions=False,
            follow_redirects=False,
        )

    def page(self, path):
        """A page as it stands."""
        answer = self.client.get(path)
        assert answer.status_code == 200, answer.text
        return answer.text

    def form(self, path, act, **fields):
        """What a browser would send of the slip with this button, filled in."""
        text = self.page(path)
        slip = next(one for one in re.findall(r"<form.*?</form>", text, re.S) if f'name="act" value="{act}"' in one)
        said = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', slip))
        for name, value in re.findall(r'<input id="[\w-]+" name="(\w+)" value="([^"]*)"', slip):
            said[name] = unescape(value)
        for name, options in re.findall(r'<select[^>]*name="(\w+)"[^>]*>(.*?)</select>', slip):
            chosen = re.findall(r'value="([^"]*)" selected', options) or re.findall(r'value="([^"]*)"', options)
            said[name] = unescape(chosen[0])
        for name, value in re.findall(r'<textarea[^>]*name="(\w+)"[^>]*>([^<]*)</textarea>', slip):
            said[name] = unescape(value)
        for name, value in re.findall(r'<input type="checkbox" name="(\w+)" value="([^"]*)" checked', slip):
            said[name] = unescape(value)
        unknown = set(fields) - set(said) - set(re.findall(r'name="(\w+)"', slip))
        assert not unknown, unknown
        own = re.search(rf'value="{act}" formaction="([^"]*)"', slip)
        action = (own or re.search(r'action="([^"]*)"', slip))[1]
        return unescape(action), {**said, **fields, "act": act}

    def send(self, path, act, **fields):
        """Fill the slip of a page in and press its button."""
        action, said = self.form(path, act, **fields)
        return self.client.post(action, data=said)

    def kept(self, path, act, **fields):
        """The page one comes back to once a slip is kept."""
        answer = self.send(path, act, **fields)
        assert answer.status_code == 303, answer.text
        return self.page(answer.headers["location"])

    def refused(self, path, act, **fields):
        """The page of a refusal: the sentence beside the field, all that was typed still there, nothing kept."""
        before = self.rows()
        answer = self.send(path, act, **fields)
        assert answer.status_code == 422, (answer.status_code, answer.text[:2000])
        assert self.rows() == before
        every = re.findall(r"<form.*?</form>", answer.text, re.S)
        slip = next(one for one in every if f'name="act" value="{act}"' in one)
        for name, value in fields.items():
            if not isinstance(value, str) or not value.strip():
                continue
            found = unescape(slip)
            assert f'value="{value}"' in found or f">{value}</textarea>" in found, (name, value)
        return self.faults(slip)[0]

    @staticmethod
    def faults(slip):
        """What a refused slip is refused for: (field, sentence) each, ("", sentence) where it is no field's."""
        beside = re.findall(
            r'class="field[^"]* wrong".*?name="(\w+)".*?<p class="fault" id="[\w-]+-fault">([^<]*)<', slip, re.S
        )
        whole = re.findall(r'<div class="refusal"[^>]*>\s*<p class="say">([^<]*)<', slip)
        return [(name, unescape(said)) for name, said in beside] or [("", unescape(said)) for said in whole]

    def rows(self):
        """How many rows every table of the shop has."""
        with sqlite3.connect(f"file:{self.file}?mode=ro", uri=True) as shop:
            tables = [one for (one,) in shop.execute("select name from sqlite_master where type = 'table'")]
            return {one: shop.execute(f'select count(*) from "{one}"').fetchone()[0] for one in tables}

    def ledger(self, ask):
        """What ``ask`` finds in the shop and its first rod."""
        with open_shop(self.file, write=False) as shop:
            return ask(shop, find(shop, "R1"))


@pytest.fixture(scope="session")
def rooms_file(tmp_path_factory):
    """A shop with a rod whose first tip is finished and read through, a culm, a rig and a gauge; figures invented."""
    folder = tmp_path_factory.mktemp("rooms")
    (folder / "rod.toml").write_text(rod_text("thrimble-beck"))
    with create_shop(folder / "shop.sqlite") as shop:
        begun = begin(shop, str(folder / "rod.toml"))
        keep_culm(shop, culm_text("k12"))
        keep_rig(shop, shop_rig_text("long-form"))
        enter_gauge(shop, "G1", "in")
        session = read(shop, begun, Stage.FINISH, ("T1",), tuple(range(1, 8)))
        clock = 0.0
        while (armed := session.armed) is not None:
            clock += 9.0
            over = (0.4, -0.3, 0.1, -0.4, 0.3, -0.1, 0.0)[armed.place.strip - 1]
            session.take(f"{armed.aim.reading / 0.0254 + over / 1000:.5f}", clock)
            if session.pending is not None:
                session.keep("invented", clock + 1)
    return folder / "shop.sqlite"


@pytest.fixture(scope="session")
def workbench():
    """One workbench for the shops of many tests: to make its hundred routes takes longer than most tests."""
    return create_app(None, ("127.0.0.1",))


@pytest.fixture
def over(workbench):
    """That workbench, over another shop."""

    def turned_to(file):
        workbench.state.desk, workbench.state.holding = Desk(file), Holding()
        workbench.state.door = OwnMachine(Admission(file))
        return workbench

    yield turned_to
    workbench.state.desk.close()
    workbench.state.holding.close()


@pytest.fixture
def rooms(rooms_file, tmp_path, over):
    """A copy of that shop and its pages."""
    file = tmp_path / "shop.sqlite"
    shutil.copyfile(rooms_file, file)
    made = Rooms(file, over(file))
    with made.client:  # one loop for all it asks: a loop a question takes three times as long
        yield made
