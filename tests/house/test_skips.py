"""The skip machinery of ``conftest.py``, run on a small suite of its own without anything on the PATH."""

from __future__ import annotations

from pathlib import Path

import pytest

SUITE = """
import pytest

@pytest.mark.needs_poppler
def test_page():
    pass

@pytest.mark.needs_poppler
def test_other_page():
    pass

@pytest.mark.needs_chromium
def test_screen():
    pass

def test_plain():
    pass

@pytest.mark.xfail(strict=True)
def test_expected_failure():
    assert False
"""


OTHER_SKIPS = {
    "test_inside": "import pytest\ndef test_it(): pytest.skip('tired')",
    "test_module": "import pytest\npytest.skip('tired', allow_module_level=True)",
    "test_import": "import pytest\npytest.importorskip('not_there', reason='tired')\ndef test_it(): pass",
}


@pytest.fixture
def run(pytester, monkeypatch):
    """Run a small suite under our own conftest with an empty PATH."""
    pytester.makeconftest((Path(__file__).parents[1] / "conftest.py").read_text("utf-8"))
    monkeypatch.setenv("PATH", "")

    def run(*options: str, skips: bool, **suites: str) -> pytest.RunResult:
        monkeypatch.setenv("CULMWRIGHT_NO_SKIPS", "0" if skips else "1")
        pytester.makepyfile(**suites)
        return pytester.runpytest_inprocess("--strict-markers", *options)

    return run


one_process_and_two = pytest.mark.parametrize("processes", ["-n0", "-n2"])


@one_process_and_two
def test_missing_things_are_skipped_and_counted(run, processes):
    result = run(processes, skips=True, test_suite=SUITE)
    result.assert_outcomes(passed=1, skipped=3, xfailed=1)
    result.stdout.fnmatch_lines(
        [
            "*not tested here*",
            "2 skipped: poppler is not installed (Debian: apt-get install poppler-utils)",
            "1 skipped: chromium is not installed (Debian: apt-get install chromium)",
        ]
    )
    assert result.ret == pytest.ExitCode.OK


@one_process_and_two
def test_a_skip_fails_where_nothing_may_be_skipped(run, processes):
    result = run(processes, skips=False, test_suite=SUITE)
    result.assert_outcomes(passed=1, errors=3, xfailed=1)
    result.stdout.fnmatch_lines(["*skipped where nothing may be: poppler is not installed*"])
    assert result.ret == pytest.ExitCode.TESTS_FAILED


def test_skips_of_any_other_kind_are_counted(run):
    result = run("-n0", skips=True, **OTHER_SKIPS)
    result.stdout.fnmatch_lines(["3 skipped: tired"])


@pytest.mark.parametrize("suite", OTHER_SKIPS)
def test_a_skip_of_any_other_kind_fails_too(run, suite):
    result = run("-n0", skips=False, **{suite: OTHER_SKIPS[suite]})
    result.stdout.fnmatch_lines(["*skipped where nothing may be: tired*"])
    assert result.ret != pytest.ExitCode.OK
