"""One server, one command and one client for the whole session of checks, and the demo firm on that server."""

from __future__ import annotations

import pytest

from estimate import books
from estimate.client import Client
from harness import Hod, Server


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    running = Server(tmp_path_factory.mktemp("server"))
    yield running
    running.stop()


@pytest.fixture(scope="session")
def hod(server, tmp_path_factory) -> Hod:
    return Hod(server, tmp_path_factory.mktemp("jobs"))


@pytest.fixture(scope="session")
def client(server):
    """A client with the owner's token."""
    client = Client(server.address, server.owner_token())
    yield client
    client.close()


@pytest.fixture(scope="session")
def firm(client) -> books.Books:
    """The starting library and the demo firm, both on the server."""
    demo = books.demo()
    books.load(client, demo)
    return books.library().and_also(demo)
