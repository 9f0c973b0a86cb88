"""A client of the session's server, and a site whose soil is tested; nothing that is asked here is kept."""

from __future__ import annotations

import pytest

from estimate.client import Client

REGION = {"display_name": "Soil country", "currency_code": "EUR", "rounding": "ROUNDING_HALF_TO_EVEN", "build_up": {
    "site_overhead_percent": "0", "firm_overhead_percent": "0", "contingency_percent": "0", "profit_percent": "0",
    "profit_basis": "PROFIT_BASIS_MARKUP_ON_COST", "tax_percent": "0", "tax_basis": "TAX_BASIS_INVOICE"}}


@pytest.fixture(scope="session")
def asking(server):
    client = Client(server.address, server.owner_token())
    client.call("RegionService/CreateRegion", {"region_id": "soil-country", "region": REGION})
    site = {"display_name": "Pit Lane", "region": "regions/soil-country", "haul_distance_m": "10"}
    client.call("SiteService/CreateSite", {"site_id": "pit-lane", "site": site})
    yield Asking(client)
    client.close()


class Asking:
    """What the service makes of a soil."""

    def __init__(self, client: Client):
        self.client = client

    def test(self, soil_test: dict) -> dict:
        """A soil test as it would be recorded."""
        request = {"parent": "sites/pit-lane", "soil_test": {"sample_date": "2026-04-02"} | soil_test, "validate_only": True}
        return self.client.ask("SoilTestService/CreateSoilTest", request)

    def texture(self, sand: str, silt: str, clay: str) -> str:
        shares = {"method": "SOIL_TEST_METHOD_LABORATORY", "sand_percent": sand, "silt_percent": silt, "clay_percent": clay}
        return self.test(shares)["texture"].removeprefix("SOIL_TEXTURE_").lower()

    def jar(self, heights: tuple[str, str, str], protocol: dict) -> dict:
        sand, silt, clay = heights
        jar = {"method": "SOIL_TEST_METHOD_JAR", "sand_mm": sand, "silt_mm": silt, "clay_mm": clay, "jar_protocol": protocol}
        return self.test(jar)
