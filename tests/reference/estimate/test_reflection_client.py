"""The service as a stranger meets it: a client with no generated code, that learns all it needs from the server."""

from __future__ import annotations

import json

import grpc
import pytest
from grpc_health.v1 import health_pb2, health_pb2_grpc
from grpc_reflection.v1alpha import reflection_pb2

from estimate import books
from estimate.client import Client, refusal

SERVICES = [
    "CrewService", "EstimationService", "JobService", "LabourConstantService", "LabourRateService", "MaterialService",
    "MixService", "MixTrialService", "PriceService", "QuoteService", "RegionService", "RulePackService", "SiteService", "SoilTestService",
]
DATE = "2026-05-04"
# A region that nobody else uses, told call by call.
HARBOUR = {"display_name": "Harbour", "currency_code": "EUR", "rounding": "ROUNDING_HALF_TO_EVEN", "build_up": {
    "site_overhead_percent": "5", "firm_overhead_percent": "10", "contingency_percent": "7.5", "profit_percent": "12",
    "profit_basis": "PROFIT_BASIS_MARGIN_ON_PRICE", "tax_label": "Sales tax", "tax_percent": "20", "tax_basis": "TAX_BASIS_LINE",
}}
PRICES = [("sharp-sand", "29.85", "UNIT_T"), ("straw-bale", "4.125", "UNIT_BALE")]
WAGES = [("lead", "23.10"), ("practised", "18.75"), ("helper", "14.05")]


def test_the_server_lists_every_service_of_the_contract(client):
    services = client.services()
    assert [f"hod.v1.{name}" for name in SERVICES] == [name for name in services if name.startswith("hod.")]
    assert "grpc.health.v1.Health" in services


@pytest.mark.parametrize("version", ["v1", "v1alpha"])
def test_reflection_answers_in_both_versions(client, version):
    """Both have the same messages under two names, so one client asks both."""
    call = client.channel.stream_stream(
        f"/grpc.reflection.{version}.ServerReflection/ServerReflectionInfo",
        request_serializer=reflection_pb2.ServerReflectionRequest.SerializeToString,
        response_deserializer=reflection_pb2.ServerReflectionResponse.FromString,
    )
    asked = reflection_pb2.ServerReflectionRequest(file_containing_symbol="hod.v1.EstimationService")
    (answer,) = call(iter([asked]), metadata=client.metadata, timeout=10)
    assert answer.file_descriptor_response.file_descriptor_proto


def test_the_server_says_that_it_serves(client):
    health = health_pb2_grpc.HealthStub(client.channel)
    answer = health.Check(health_pb2.HealthCheckRequest(service=""), metadata=client.metadata, timeout=10)
    assert answer.status == health_pb2.HealthCheckResponse.SERVING
    # Whoever balances load has no token, and is told no more than this.
    assert health.Check(health_pb2.HealthCheckRequest(service=""), timeout=10).status == answer.status


def test_a_region_made_call_by_call_prices_a_job_with_the_commands_own_figures(client, hod):
    tell_harbour(client)
    path = books.SHARED / "demo" / "jobs" / "long-acre-studio.toml"
    text = path.read_text().replace('site = "long-acre"', 'site = "harbour-quay"')
    own = hod.folder / "harbour.toml"
    own.write_text(text)
    answer = client.ask("EstimationService/EstimateJob", {"job": books.told_job(books.read(own)), "price_date": DATE})
    printed = json.loads(hod.answer("estimate", str(own), "--on", DATE, "--format", "json"))
    assert figures_of_command(printed) == figures_of_service(answer)
    assert printed["site"] == "sites/harbour-quay" and printed["region"] == "regions/harbour"
    assert float(answer["totals"]["total"]) > 1000


def tell_harbour(client: Client) -> None:
    made = client.ask("RegionService/CreateRegion", {"region_id": "harbour", "region": HARBOUR})
    assert made["name"] == "regions/harbour" and made["etag"]
    for material, price, unit in PRICES:
        record = {"material": f"materials/{material}", "unit_price": price, "unit": unit, "start_date": "2026-01-01"}
        kept = client.ask("PriceService/CreatePrice", {"parent": "regions/harbour", "price": record})
        assert kept["name"].startswith("regions/harbour/prices/") and kept["currency_code"] == "EUR"
    for grade, wage in WAGES:
        record = {"grade": grade, "wage_per_hour": wage, "burden_percent": "30", "start_date": "2026-01-01"}
        client.call("LabourRateService/CreateLabourRate", {"parent": "regions/harbour", "labour_rate": record})
    # Two prices and three rates: each made the next version of the list.
    assert client.ask("RegionService/GetRegion", {"name": "regions/harbour"})["list_version"] == "5"
    site = {"display_name": "Harbour quay", "region": "regions/harbour", "haul_distance_m": "80"}
    client.call("SiteService/CreateSite", {"site_id": "harbour-quay", "site": site})


def figures_of_command(printed: dict) -> dict:
    """What the command prints without the sentences of the bases."""
    lines = [(line["kind"], line["item"], line["quantity"], line["unit"], line["unit_price"] or "", line["amount"])
             for line in printed["lines"]]
    labour = [(one["task"], one["grade"], one["hours"], one["amount"]) for one in printed["labour"]]
    return {"lines": lines, "labour": labour, "totals": printed["totals"], "currency_code": printed["currency_code"],
            "batch_count": printed["batch_count"], "takeoff": printed["takeoff"], "inputs": printed["inputs"]}


def figures_of_service(answer: dict) -> dict:
    """The same of the message."""
    lines = [(word("LINE_KIND", line["kind"]), line["item"], line["quantity"], word("UNIT", line["unit"]),
              line.get("unit_price", ""), line["amount"]) for line in answer["lines"]]
    labour = [(word("TASK", one["task"]), one["grade"], one["hours"], one["amount"]) for one in answer["labour"]]
    return {"lines": lines, "labour": labour, "totals": answer["totals"], "currency_code": answer["currency_code"],
            "batch_count": answer["batch_count"], "takeoff": answer["takeoff"], "inputs": answer["inputs"]}


def word(prefix: str, name: str) -> str:
    return name.removeprefix(f"{prefix}_").lower().replace("_", "-")


def test_the_demo_jobs_have_the_same_figures_over_both(client, firm, hod):
    date = books.demo_date()
    for path in books.demo_files():
        answer = client.ask("EstimationService/EstimateJob", {"job": books.told_job(books.read(path)), "price_date": date})
        printed = json.loads(hod.answer("estimate", str(path), "--on", date, "--format", "json"))
        assert figures_of_command(printed) == figures_of_service(answer), path.stem


def test_many_jobs_streamed_in_come_out_in_the_order_asked(client, firm):
    """A job that cannot be priced answers with its faults and does not end the stream."""
    date = books.demo_date()
    jobs = [books.told_job(job) for job in books.demo_jobs().values()]
    broken = jobs[0] | {"mix": "mixes/porridge"}
    asked = [{"request": {"job": job, "price_date": date}} for job in [*jobs, broken, *jobs]]
    answers = client.stream("EstimationService/EstimateJobs", asked)
    assert [answer.get("index", 0) for answer in answers] == list(range(2 * len(jobs) + 1))
    faults = answers.pop(len(jobs))["faults"]
    assert "porridge" in faults["faults"][0]["description"]
    one_by_one = [client.ask("EstimationService/EstimateJob", one["request"]) for one in asked[: len(jobs)]]
    assert [answer["estimate"] for answer in answers] == one_by_one * 2


@pytest.mark.parametrize("token", [None, "hod_" + "A" * 43, "nonsense"], ids=["none", "wrong", "malformed"])
def test_a_call_without_the_right_token_is_unauthenticated(server, client, token):
    stranger = grpc.insecure_channel(server.address)
    metadata = [("authorization", f"Bearer {token}")] if token else []
    call = stranger.unary_unary("/hod.v1.RegionService/ListRegions")
    with pytest.raises(grpc.RpcError) as caught:
        call(b"", metadata=metadata, timeout=10)
    stranger.close()
    assert caught.value.code() is grpc.StatusCode.UNAUTHENTICATED
    found = refusal(caught.value)
    assert found.reason and not found.fields
    assert str(token) not in found.message


def test_a_refusal_names_every_field_and_carries_one_reason(client):
    bad = {"display_name": "", "currency_code": "EURO", "build_up": {"tax_percent": "101", "site_overhead_percent": "lots"}}
    found = client.refused("RegionService/CreateRegion", {"region_id": "Bad Id", "region": bad})
    assert (found.code, bool(found.reason)) == ("INVALID_ARGUMENT", True)
    named = {path for path, _ in found.fields}
    assert named == {
        "region_id", "region.display_name", "region.currency_code", "region.build_up.tax_percent",
        "region.build_up.site_overhead_percent",
    }
    assert "101" in found.description_of("region.build_up.tax_percent")
    assert "lots" in found.description_of("region.build_up.site_overhead_percent")
    assert "EURO" in found.description_of("region.currency_code")


@pytest.mark.parametrize(
    ("method", "request_", "code", "telling"),
    [
        ("RegionService/GetRegion", {"name": "regions/atlantis"}, "NOT_FOUND", "regions/atlantis"),
        ("JobService/GetJob", {"name": "jobs/atlantis"}, "NOT_FOUND", "jobs/atlantis"),
        ("EstimationService/GetEstimate", {"name": "jobs/atlantis/estimates/one"}, "NOT_FOUND", "jobs/atlantis"),
        ("RegionService/CreateRegion", {"region_id": "tidewell", "region": HARBOUR}, "ALREADY_EXISTS", "tidewell"),
        ("RegionService/ListRegions", {"page_size": -1}, "INVALID_ARGUMENT", "-1"),
        ("RegionService/ListRegions", {"page_token": "made up"}, "INVALID_ARGUMENT", "page_token"),
        ("RegionService/UpdateRegion", {"region": HARBOUR | {"name": "regions/tidewell", "etag": "stale"}}, "ABORTED", "tidewell"),
    ],
)
def test_every_kind_of_refusal_has_its_code_and_one_reason(client, firm, method, request_, code, telling):
    found = client.refused(method, request_)
    assert found.code == code
    assert found.reason
    told = " ".join([found.message, *(text for pair in found.fields for text in pair)])
    assert telling in told, told


def test_a_request_sent_again_acts_once_and_another_under_its_id_is_refused(client, firm):
    asked = {"region_id": "once", "region": HARBOUR, "request_id": "6d0a3f1e-7a5e-4d7a-9c1b-0f4b8f1f2a11"}
    first = client.raw("RegionService/CreateRegion", asked)
    assert client.raw("RegionService/CreateRegion", asked) == first
    other = client.refused("RegionService/CreateRegion", asked | {"region_id": "twice"})
    assert other.code == "FAILED_PRECONDITION" and other.reason
    assert client.refused("RegionService/GetRegion", {"name": "regions/twice"}).code == "NOT_FOUND"


def test_what_is_only_validated_is_not_kept(client):
    answer = client.ask("RegionService/CreateRegion", {"region_id": "never", "region": HARBOUR, "validate_only": True})
    assert answer["display_name"] == "Harbour"
    assert client.refused("RegionService/GetRegion", {"name": "regions/never"}).code == "NOT_FOUND"
