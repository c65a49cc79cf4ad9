"""The API as its own description says it: thrown at it by schemathesis, which knows nothing of this project.

Checked at every case: no server error, only the statuses, kinds and shapes that the description promises.
"""

from __future__ import annotations

import os
import shutil

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import CHECKS

from culmwright.cli.main import main
from culmwright.web.access import RULES, Role, Visitor
from culmwright.web.app import create_app
from culmwright.web.doors import OnNetwork
from culmwright.workshop.admitting import Admission, Right

EXAMPLES = {"commit": 25, "nightly": 200, "release": 1000}[os.environ.get("CULMWRIGHT_SOAK", "commit")]
SLOW = {"/api/rods/{code}/book": 40}
"""How many times fewer cases: a book takes a second."""


class Keeper(OnNetwork):
    """A door that takes everybody for the keeper, so that every operation is reached."""

    def visitor(self, request):
        return Visitor(Role.KEEP, "d1", "t")


@pytest.fixture(scope="module")
def made(shop_file, tmp_path_factory):
    file = tmp_path_factory.mktemp("api") / "shop.sqlite"
    shutil.copyfile(shop_file, file)
    return create_app(file, ("localhost", "127.0.0.1"), door=Keeper(Admission(file), secure=False))


@pytest.fixture(scope="module")
def described(made):
    return schemathesis.openapi.from_asgi("/api/openapi.json", made)


def operations():
    return sorted((method, path) for path, methods in RULES.items() for method in methods if path.startswith("/api/")
                  and path != "/api/openapi.json")  # fmt: skip


@pytest.mark.parametrize(("method", "path"), operations())
def test_every_operation_keeps_its_word(described, method, path):
    operation = described[path][method]
    examples = max(1, EXAMPLES // SLOW.get(path, 1))

    @settings(
        max_examples=examples,
        derandomize=True,
        deadline=None,
        database=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def keeps(case):
        case.call_and_validate(headers={"x-culmwright-token": "t"})

    operation.as_strategy
    schemathesis_test(operation, keeps)


def schemathesis_test(operation, keeps):
    from hypothesis import given

    given(case=operation.as_strategy())(keeps)()
