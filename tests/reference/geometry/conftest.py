"""The random jobs, measured by Hod once and judged by many."""

from __future__ import annotations

import pytest

from geometry.random_runs import random_runs
from geometry.random_walls import random_jobs

WALL_SEED, WALL_COUNT = 1, 2000
RUN_SEED, RUN_COUNT = 20261125, 300


@pytest.fixture(scope="session")
def measured_walls(hod):
    """Pairs of a job of free-standing walls and its takeoff."""
    jobs = random_jobs(WALL_SEED, WALL_COUNT)
    return list(zip(jobs, hod.takeoff_many(jobs)))


@pytest.fixture(scope="session")
def measured_runs(hod):
    """Pairs of a job of joined walls and its takeoff."""
    jobs = random_runs(RUN_SEED, RUN_COUNT)
    return list(zip(jobs, hod.takeoff_many(jobs)))
