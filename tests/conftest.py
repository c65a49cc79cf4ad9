"""What some tests need from the machine, and how thoroughly the random ones search.

A test that needs something a machine may lack carries a marker of ``NEEDS``. Without the thing it is skipped
and the end of the run says how many were and how to get it; with ``CULMWRIGHT_NO_SKIPS=1`` (``.ci/run`` sets
it) every skip, whatever its reason, is a failure.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command has it; two workers on two cores share nothing out

from collections import Counter
from collections.abc import Generator
from importlib.util import find_spec
from shutil import which
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

pytest_plugins = ["pytester"]


def _oracles() -> bool:
    """True if sectionproperties and pyelastica are there, and the former's mesher, which installs uncompiled too, was
    compiled.
    """
    try:
        import cytriangle  # noqa: F401
    except ImportError:
        return False
    return find_spec("sectionproperties") is not None and find_spec("elastica") is not None


NEEDS = {
    "needs_poppler": (
        lambda: which("pdftotext") and which("pdftoppm"),
        "poppler is not installed (Debian: apt-get install poppler-utils)",
    ),
    "needs_chromium": (
        lambda: which("chromium"),
        "chromium is not installed (Debian: apt-get install chromium)",
    ),
    "needs_zbar": (
        lambda: which("zbarimg"),
        "zbar is not installed (Debian: apt-get install zbar-tools)",
    ),
    "needs_oracles": (
        _oracles,
        "the oracles are not installed (pip install --require-hashes -r requirements-oracles.lock, with a C compiler)",
    ),
}

# Too slow is left to a person: a shared machine with two cores is slow now and then for no fault of a test.
CALM: dict[str, Any] = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("commit", max_examples=200, derandomize=True, **CALM)
settings.register_profile("nightly", max_examples=5_000, **CALM)
settings.register_profile("release", max_examples=50_000, **CALM)
settings.load_profile(os.environ.get("CULMWRIGHT_SOAK", "commit"))


def pytest_configure(config: pytest.Config) -> None:
    for marker, (_, reason) in NEEDS.items():
        config.addinivalue_line("markers", f"{marker}: skipped where {reason}")


def pytest_runtest_setup(item: pytest.Item) -> None:
    for marker, (present, reason) in NEEDS.items():
        if item.get_closest_marker(marker) and not present():
            pytest.skip(reason)


def _forbid_skip(report: pytest.TestReport | pytest.CollectReport) -> None:
    """Turn a skip into a failure where nothing may be skipped."""
    if report.skipped and not hasattr(report, "wasxfail") and os.environ.get("CULMWRIGHT_NO_SKIPS") == "1":
        report.outcome = "failed"
        report.longrepr = f"skipped where nothing may be: {_reason(report)}"


def _reason(report: pytest.TestReport | pytest.CollectReport) -> str:
    skip = report.longrepr
    return skip[2].removeprefix("Skipped: ") if isinstance(skip, tuple) else str(skip)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    _forbid_skip(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    _forbid_skip(report)
    return report


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    reasons = Counter(_reason(report) for report in terminalreporter.stats.get("skipped", []))
    if reasons:
        terminalreporter.section("not tested here")
    for reason, count in reasons.most_common():
        terminalreporter.line(f"{count} skipped: {reason}")
