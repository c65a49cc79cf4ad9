"""The API as its own description says it: thrown at it by schemathesis, which knows nothing of this project.

Checked at every case: no server error, only the statuses, kinds and shapes that the description promises.
"""

from __future__ import annotations

import json
import os
import shutil

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis.specs.openapi.checks import positive_data_acceptance

from culmwright.cli.main import main
from culmwright.web.access import RULES, Role, Visitor
from culmwright.web.app import create_app
from culmwright.web.data_pages import MEDIA
from culmwright.web.doors import OnNetwork
from culmwright.workshop.admitting import Admission

EXAMPLES = {"commit": 25, "nightly": 200, "release": 1000}[os.environ.get("CULMWRIGHT_SOAK", "commit")]
# Left out is one check, positive_data_acceptance: no JSON schema says what a rod file, a length or the code of a rod
# that exists is, so that a well-shaped message may still be refused, in words, with 422.
SLOW = {"/api/rods/{code}/book": 40}
"""How many times fewer cases: a book takes a second."""


FILES = st.binary(max_size=2000) | st.binary(max_size=500).map(lambda one: b"PK\x03\x04" + one)
schemathesis.openapi.media_type("application/vnd.sqlite3", FILES | st.just(b"SQLite format 3\x00" + b"0" * 4096))
schemathesis.openapi.media_type("application/zip", FILES, aliases=[MEDIA["xlsx"]])


class Keeper(OnNetwork):
    """A door that takes everybody for the keeper, so that every operation is reached."""

    def visitor(self, request):
        return Visitor(Role.KEEP, "d1", "t")


@pytest.fixture(scope="module")
def made(shop_file, tmp_path_factory):
    file = tmp_path_factory.mktemp("api") / "shop.sqlite"
    shutil.copyfile(shop_file, file)
    return create_app(file, ("localhost", "testserver", "127.0.0.1"), door=Keeper(Admission(file), secure=False))


@pytest.fixture(scope="module")
def described(made):
    return schemathesis.openapi.from_asgi("/api/openapi.json", made)


def operations():
    return sorted((method, path) for path, methods in RULES.items() for method in methods if path.startswith("/api/")
                  and path != "/api/openapi.json")  # fmt: skip


@pytest.mark.parametrize(("method", "path"), operations())
def test_every_operation_keeps_its_word(described, method, path):
    operation = described[path][method]
    tried = 0

    @settings(
        max_examples=max(1, EXAMPLES // SLOW.get(path, 1)),
        derandomize=True,
        deadline=None,
        database=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy())
    def keeps(case):
        nonlocal tried
        tried += 1
        case.call_and_validate(headers={"x-culmwright-token": "t"}, excluded_checks=[positive_data_acceptance])

    keeps()
    assert tried > 0


def test_every_operation_is_described(described):
    """What is answered below /api is in the description, and the other way round."""
    listed = {(method.upper(), path) for path, methods in described.raw_schema["paths"].items() for method in methods}
    assert listed == set(operations())


def test_the_description_is_one_and_names_its_refusals(described):
    for path, methods in described.raw_schema["paths"].items():
        for method, one in methods.items():
            assert "application/problem+json" in one["responses"]["403"]["content"], (path, method)
            assert one["description"], (path, method)


def test_results_are_those_of_the_command(made, shop_file, tmp_path, capsys):
    from fastapi.testclient import TestClient

    client = TestClient(made, base_url="http://127.0.0.1")
    (tmp_path / "rod.toml").write_text(client.get("/api/rods/R1").json()["text"])
    rod = str(tmp_path / "rod.toml")
    for words, path in (
        (["check", rod], "/api/rods/R1/check"),
        (["strips", rod], "/api/rods/R1/strips"),
        (["explain", rod, "T1/S3@25in:rough"], "/api/rods/R1/explain?spot=T1/S3@25in:rough"),
        (["passes", "--now", "0.2", "--target", "0.15"], "/api/passes?now=0.2&target=0.15"),
        (["passes", "--now", "7.1 mm", "--target", "4"], "/api/passes?now=7.1 mm&target=4"),
    ):
        assert main([*words, "--json"]) == 0
        assert client.get(path).json() == json.loads(capsys.readouterr().out), path


@pytest.mark.parametrize(
    ("path", "sent"),
    [
        ("/api/people", {"name": 7}),
        ("/api/people", {"name": "Ann", "role": "keep"}),
        ("/api/gauges", {"name": "a", "unit": "furlong"}),
        ("/api/dockets", {"id": "0" * 32, "kind": "Weighing", "text": "1"}),
        ("/api/rods", {"text": ["1"]}),
        ("/api/rods/R1/log", {"kind": "revision frozen"}),
        ("/api/rods/R1/log", {"kind": "noted", "strip": True}),
        ("/api/devices/code", {"right": "owner"}),
    ],
)
def test_messages_are_strict(made, path, sent):
    from fastapi.testclient import TestClient

    client = TestClient(made, base_url="http://127.0.0.1", headers={"x-culmwright-token": "t"})
    answer = client.post(path, json=sent)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert set(answer.json()) == {"type", "title", "status", "where", "remedy"}
