"""The demo firm on the session's server, and a client of it."""

from __future__ import annotations

import pytest

from estimate import books
from estimate.client import Client


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
