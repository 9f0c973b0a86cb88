"""One server and one command for the whole session of checks."""

from __future__ import annotations

import pytest

from harness import Hod, Server


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    running = Server(tmp_path_factory.mktemp("server"))
    yield running
    running.stop()


@pytest.fixture(scope="session")
def hod(server, tmp_path_factory) -> Hod:
    return Hod(server, tmp_path_factory.mktemp("jobs"))
