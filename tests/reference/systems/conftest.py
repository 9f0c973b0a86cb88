"""Random firms and their jobs of every system on the session's server, each measured and priced once and judged by many."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from estimate import books
from estimate.reckoning import Reckoning
from systems import firms, jobs, published
from systems.reckoner import reckon

FIRMS, JOBS_OF_A_FIRM = 8, 30


@pytest.fixture(scope="session")
def published_books(client) -> None:
    """What published figures are put to the service with."""
    books.load(client, published.books())


@dataclass
class Judged:
    """A job as counted here and as the service tells it."""

    name: str
    firm: firms.Firm
    found: Reckoning
    takeoff: dict
    estimate: dict


@pytest.fixture(scope="session")
def judged(client) -> list[Judged]:
    library, found = books.library(), []
    for number in range(FIRMS):
        firm = firms.firm(number)
        books.load(client, firm.books)
        all_books = library.and_also(firm.books)
        for at, job in enumerate(jobs.jobs(firm, JOBS_OF_A_FIRM)):
            asked = {"job": books.told_job(job)}
            takeoff = client.ask("EstimationService/MeasureJob", asked)
            estimate = client.ask("EstimationService/EstimateJob", asked | {"price_date": firm.date})
            systems = ", ".join(build["system"] for build in job["build"])
            found.append(Judged(f"{firm.name}, job {at}, of {systems}", firm, reckon(all_books, job), takeoff, estimate))
    return found
