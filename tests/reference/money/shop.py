"""A region of any currency with all that a cob studio is priced with, and the studio."""

from __future__ import annotations

from estimate import books
from estimate.client import Client

DAY = "2026-05-04"
PRICES = [("sharp-sand", "26.40", "UNIT_T"), ("straw-bale", "3.60", "UNIT_BALE")]
WAGES = [("lead", "24.00"), ("practised", "19.55"), ("helper", "15.25")]
MINOR_UNITS = {"EUR": 2, "JPY": 0, "TND": 3}


def open_shop(client: Client, name: str, currency: str, **region) -> None:
    """A region and a site of this name, with prices and rates from the first of January."""
    record = {"display_name": name, "currency_code": currency} | region
    client.call("RegionService/CreateRegion", {"region_id": name, "region": record})
    for material, price, unit in PRICES:
        sell(client, name, material, price, unit)
    for grade, wage in WAGES:
        rate = {"grade": grade, "wage_per_hour": wage, "burden_percent": "28", "start_date": "2026-01-01"}
        client.call("LabourRateService/CreateLabourRate", {"parent": f"regions/{name}", "labour_rate": rate})
    site = {"display_name": name, "region": f"regions/{name}", "haul_distance_m": "20"}
    client.call("SiteService/CreateSite", {"site_id": name, "site": site})


def sell(client: Client, region: str, material: str, price: str, unit: str, **terms) -> dict:
    record = {"material": f"materials/{material}", "unit_price": price, "unit": unit, "start_date": "2026-01-01"} | terms
    return client.ask("PriceService/CreatePrice", {"parent": f"regions/{region}", "price": record})


def studio(site: str, **more) -> dict:
    path = books.SHARED / "demo" / "jobs" / "long-acre-studio.toml"
    return books.told_job(books.read(path)) | {"site": f"sites/{site}"} | more


def estimate(client: Client, job: dict) -> dict:
    return client.ask("EstimationService/EstimateJob", {"job": job, "price_date": DAY})


def keep(client: Client, job_id: str, job: dict, day: str = DAY) -> dict:
    client.call("JobService/CreateJob", {"job_id": job_id, "job": job})
    return keep_again(client, job_id, day)


def keep_again(client: Client, job_id: str, day: str = DAY) -> dict:
    return client.ask("EstimationService/CreateEstimate", {"parent": f"jobs/{job_id}", "price_date": day})
