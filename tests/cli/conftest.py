"""The command as a maker runs it: exit code, standard output, standard error."""

from __future__ import annotations

import json

import pytest

from culmwright.cli.main import main


@pytest.fixture
def run(capsys):
    """Exit code, standard output, standard error."""

    def ran(*argv):
        try:
            code = main([str(one) for one in argv])
        except SystemExit as stop:
            code = stop.code
        done = capsys.readouterr()
        return code, done.out, done.err

    return ran


@pytest.fixture
def document(run):
    """The one line of JSON a verb answers with."""

    def read(*argv, code=0):
        got, out, err = run(*argv, "--json")
        assert got == code, err
        assert out.count("\n") == 1
        return json.loads(out)

    return read
