"""The same question gets the same bytes: asked twice, asked of another start of the server on the same data, and read
back from what was kept."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from estimate import books
from estimate.client import Client
from harness import Hod, Server, data_folder

REQUEST_ID = "0d3f7d52-5c1f-4b0e-8a57-1d7c5f0a9e31"
FORMATS = ["table", "json", "jsonl", "csv"]


@dataclass
class Answers:
    """Everything that is asked of a server, as it came."""

    bytes: dict[str, bytes]
    printed: dict[str, str]


@pytest.fixture(scope="module")
def starts(tmp_path_factory):
    """Two questionings of one start and one of the next start on the same data."""
    data = data_folder()
    folder = tmp_path_factory.mktemp("starts")
    answers: list[Answers] = []
    try:
        for start in range(2):
            answers += one_start(folder, data, times=2 if start == 0 else 1, is_first=start == 0)
    finally:
        shutil.rmtree(data, ignore_errors=True)
    return answers


def one_start(folder: Path, data: Path, times: int, is_first: bool) -> list[Answers]:
    server = Server(folder, data)
    client = Client(server.address, server.owner_token())
    try:
        if is_first:
            books.load(client, books.demo())
            keep_jobs(client)
        return [asked(client, Hod(server, folder)) for _ in range(times)]
    finally:
        client.close()
        server.stop()


def keep_jobs(client: Client) -> None:
    for name, job in books.demo_jobs().items():
        client.call("JobService/CreateJob", {"job_id": name, "job": books.told_job(job)})
        client.call("EstimationService/CreateEstimate", {"parent": f"jobs/{name}", "price_date": books.demo_date()})


def asked(client: Client, hod: Hod) -> Answers:
    date = books.demo_date()
    found: dict[str, bytes] = {}
    for name, job in books.demo_jobs().items():
        inline = {"job": books.told_job(job)}
        found[f"measure {name}"] = client.raw("EstimationService/MeasureJob", inline)
        found[f"estimate {name}"] = client.raw("EstimationService/EstimateJob", inline | {"price_date": date})
        found[f"estimate stored {name}"] = client.raw("EstimationService/EstimateJob", {"name": f"jobs/{name}", "price_date": date})
        found[f"get {name}"] = client.raw("JobService/GetJob", {"name": f"jobs/{name}"})
        found[f"kept {name}"] = client.raw("EstimationService/ListEstimates", {"parent": f"jobs/{name}"})
        for one in client.ask("EstimationService/ListEstimates", {"parent": f"jobs/{name}"})["estimates"]:
            found[one["name"]] = client.raw("EstimationService/GetEstimate", {"name": one["name"]})
    again = {"parent": "jobs/garden-wall", "price_date": date, "request_id": REQUEST_ID}
    found["create again"] = client.raw("EstimationService/CreateEstimate", again)
    for method in ("RegionService/ListRegions", "MixService/ListMixes", "LabourConstantService/ListLabourConstants"):
        found[method] = client.raw(method, {})
    return Answers(found, printed(hod, date))


def printed(hod: Hod, date: str) -> dict[str, str]:
    files = [str(path) for path in books.demo_files()]
    told = {f"estimate {form}": hod.answer("estimate", *files, "--on", date, "--format", form) for form in FORMATS}
    told |= {f"takeoff {form}": hod.answer("takeoff", *files, "--format", form) for form in FORMATS}
    told["basis"] = hod.answer("estimate", files[0], "--on", date, "--basis")
    return told


def differing(one: dict, other: dict) -> list[str]:
    return sorted(name for name in one.keys() | other.keys() if one.get(name) != other.get(name))


def test_the_same_request_twice_gives_the_same_bytes(starts):
    first, second, _ = starts
    # The first round kept an estimate of the garden wall once the lists were read; all else stands as it was.
    assert differing(first.bytes, second.bytes) == differing_for_what_was_kept(first, second)
    assert len(first.bytes) > 30 and all(first.bytes.values())


def differing_for_what_was_kept(first: Answers, second: Answers) -> list[str]:
    """The estimate that the request with an id made on the first round, now listed and read."""
    new = second.bytes.keys() - first.bytes.keys()
    assert len(new) == 1 and new.pop().startswith("jobs/garden-wall/estimates/")
    return sorted(name for name in first.bytes.keys() | second.bytes.keys()
                  if name == "kept garden-wall" or name not in first.bytes)


def test_a_request_with_an_id_gives_its_first_answer_and_acts_once(starts):
    first, second, restarted = starts
    assert first.bytes["create again"] == second.bytes["create again"] == restarted.bytes["create again"]
    (new,) = second.bytes.keys() - first.bytes.keys()
    assert second.bytes[new] == first.bytes["create again"], "and what is read is what was answered"


def test_a_server_started_again_on_the_same_data_gives_the_same_bytes(starts):
    _, second, restarted = starts
    assert differing(second.bytes, restarted.bytes) == []


def test_the_command_prints_the_same_every_time(starts):
    first, second, restarted = starts
    assert differing(first.printed, second.printed) == []
    assert differing(second.printed, restarted.printed) == []
    assert all(len(told) > 500 for told in first.printed.values())


def test_kept_and_passing_estimates_have_the_same_figures(starts, client):
    """A kept estimate differs from one in passing by its name and time, and in no figure."""
    first = starts[0]
    _, _, answer = client.method("EstimationService/EstimateJob")
    for name in books.demo_jobs():
        (kept,) = [raw for key, raw in first.bytes.items() if key.startswith(f"jobs/{name}/estimates/")]
        lasting, passing = answer.FromString(kept), answer.FromString(first.bytes[f"estimate stored {name}"])
        assert lasting.name and lasting.create_time.seconds and not passing.name
        lasting.ClearField("name")
        lasting.ClearField("create_time")
        assert lasting == passing, name
