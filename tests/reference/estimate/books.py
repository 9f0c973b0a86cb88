"""What a firm keeps, as plain records under the words of the files in `shared/`, and how they are told to the server."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from decimal import Decimal

from estimate.client import Client
from harness import ROOT

SHARED = ROOT / "shared"

# Fields that hold a word of a closed list, with the prefix of the list in the contract.
WORDS = {
    "supply": "SUPPLY", "purchase_unit": "UNIT", "unit": "UNIT", "task": "TASK", "driver": "DRIVER", "rounding": "ROUNDING",
    "profit_basis": "PROFIT_BASIS", "tax_basis": "TAX_BASIS", "system": "WALL_SYSTEM", "batter": "BATTER",
    "shape": "OPENING_SHAPE", "face": "FACE", "purpose": "MIX_PURPOSE", "measure": "PART_MEASURE",
    "density_evidence": "DENSITY_EVIDENCE", "bale_lay": "BALE_LAY", "kind": "RULE_KIND", "standing": "RULE_STANDING",
}
# Within a section, where the word is of another list than elsewhere.
WORDS_OF_SECTION = {"stem_wall": {"system": "STEM_SYSTEM"}}
# Fields that hold the id of something, with its collection; so do those that end on a material or a mix.
NAMES = {"site": "sites", "crew": "crews", "region": "regions", "parent_region": "regions", "measurement": "rulePacks",
         "rule_pack": "rulePacks"}
# The fields of a soil test that are how its jar was read.
PROTOCOL = ("sand_mark_s", "silt_mark_min", "clay_mark_h", "water_height_mm", "water_celsius")
# The fields of a region that are steps of its build-up.
BUILD_UP = ("site_overhead_percent", "firm_overhead_percent", "contingency_percent", "profit_percent", "profit_basis",
            "tax_label", "tax_percent", "tax_basis")
JOB_FIELDS = {"name": "display_name", "wall": "walls", "opening": "openings", "niche": "niches", "inclusion": "inclusions",
              "build": "builds", "finish": "finishes", "floor": "floors", "oven": "ovens"}


def read(path) -> dict:
    """A TOML file with its numbers as they are written."""
    with open(path, "rb") as file:
        return tomllib.load(file, parse_float=Decimal)


def told(value, key: str = "", section: str = ""):
    """A record, or a part of one, as the contract tells it."""
    if isinstance(value, dict):
        return {name: told(part, name, key) for name, part in value.items()}
    if isinstance(value, list):
        return [told(part) for part in value]
    words = WORDS | WORDS_OF_SECTION.get(section, {})
    if key in words:
        return f"{words[key]}_{value.replace('-', '_').upper()}"
    return f"{collection(key)}/{value}" if collection(key) else str(value)


def collection(key: str) -> str:
    """Where what a field names is kept; nothing for a field that names nothing."""
    for ending, kept in [("material", "materials"), ("mix", "mixes")]:
        if key == ending or key.endswith(f"_{ending}"):
            return kept
    return NAMES.get(key, "")


def resource(record: dict, *without: str) -> dict:
    return told({key: value for key, value in record.items() if key not in ("id", *without)})


def told_region(region: dict) -> dict:
    """A region, whose build-up the contract tells apart."""
    return resource(region, *BUILD_UP) | {"build_up": told({key: region[key] for key in BUILD_UP if key in region})}


def told_job(job: dict) -> dict:
    """A job file as a `hod.v1.Job`."""
    def renamed(part):
        if isinstance(part, dict):
            return {JOB_FIELDS.get(key, key) if isinstance(value, list) or key == "name" else key: renamed(value)
                    for key, value in part.items()}
        return [renamed(one) for one in part] if isinstance(part, list) else part

    made = told(renamed(job))
    test = made.get("ground", {}).get("soil_test", "")
    if test and "/" not in test:
        made["ground"]["soil_test"] = f"{made['site']}/soilTests/{test}"
    return made


@dataclass
class Books:
    """Everything that an estimate is made from, by id."""

    materials: dict[str, dict] = field(default_factory=dict)
    mixes: dict[str, dict] = field(default_factory=dict)
    crews: dict[str, dict] = field(default_factory=dict)
    constants: dict[str, dict] = field(default_factory=dict)
    regions: dict[str, dict] = field(default_factory=dict)
    sites: dict[str, dict] = field(default_factory=dict)
    prices: list[dict] = field(default_factory=list)
    rates: list[dict] = field(default_factory=list)
    soil: list[dict] = field(default_factory=list)
    trials: list[dict] = field(default_factory=list)
    # What is changed of mixes that are there already.
    mended: list[dict] = field(default_factory=list)

    def and_also(self, other: Books) -> Books:
        return Books(**{name: getattr(self, name) | part if isinstance(part, dict) else getattr(self, name) + part
                        for name, part in vars(other).items()})


def by_id(records: list[dict]) -> dict[str, dict]:
    return {record["id"]: record for record in records}


def library() -> Books:
    """The starting library, which every firm begins with."""
    def of(noun):
        return by_id(read(SHARED / "library" / f"{noun}.toml")[noun])

    return Books(materials=of("material"), mixes=of("mix"), crews=of("crew"), constants=of("labour_constant"))


def demo() -> Books:
    """The demo firm's regions, sites, prices and rates, what it knows of its soils, and which trials its mixes rest on."""
    firm = read(SHARED / "demo" / "firm.toml")
    return Books(regions=by_id(firm["region"]), sites=by_id(firm["site"]), prices=firm["price"], rates=firm["labour_rate"],
                 soil=firm["soil"], trials=firm.get("trial", []), mended=firm.get("mix", []))


def demo_date() -> str:
    return read(SHARED / "demo" / "firm.toml")["price_date"]


def demo_files() -> list:
    return sorted((SHARED / "demo" / "jobs").glob("*.toml"))


def demo_jobs() -> dict[str, dict]:
    return {path.stem: read(path) for path in demo_files()}


def load(client: Client, books: Books) -> None:
    """Tells the server all of it, through the calls that anybody would use; a parent region stands before its child."""
    for noun, service, records in [
        ("material", "MaterialService/CreateMaterial", books.materials), ("crew", "CrewService/CreateCrew", books.crews),
        ("mix", "MixService/CreateMix", books.mixes), ("region", "RegionService/CreateRegion", books.regions),
        ("labour_constant", "LabourConstantService/CreateLabourConstant", books.constants),
        ("site", "SiteService/CreateSite", books.sites),
    ]:
        for name, record in records.items():
            message = told_region(record) if noun == "region" else resource(record)
            client.call(service, {f"{noun}_id": name, noun: message})
    for price in books.prices:
        send_below(client, "PriceService/CreatePrice", "regions", "price", price)
    for rate in books.rates:
        send_below(client, "LabourRateService/CreateLabourRate", "regions", "labour_rate", rate)
    for test in books.soil:
        client.call("SoilTestService/CreateSoilTest", told_soil_test(test))
    for trial in books.trials:
        client.call("MixTrialService/CreateMixTrial", told_trial(trial))
    for mix in books.mended:
        site, trial = mix["trial"].split("/")
        changed = {"name": f"mixes/{mix['id']}", "trial": f"sites/{site}/mixTrials/{trial}"}
        client.call("MixService/UpdateMix", {"mix": changed, "update_mask": "trial"})


def told_soil_test(test: dict) -> dict:
    """A soil test, whose contract tells apart how a jar was read."""
    protocol = {key: test[key] for key in PROTOCOL if key in test}
    record = resource(test, "site", *PROTOCOL) | {"method": f"SOIL_TEST_METHOD_{test['method'].upper()}"}
    if protocol:
        record["jar_protocol"] = told(protocol)
    return {"parent": f"sites/{test['site']}", "soil_test_id": test["id"], "soil_test": record}


def told_trial(trial: dict) -> dict:
    """A mix trial, whose parts and specimens the file writes as the command takes them: `sand=1`, `7.4=102x102`."""
    record = resource(trial, "site", "part", "crushed", "outcome") | {"outcome": f"TRIAL_OUTCOME_{trial['outcome'].upper()}"}
    record["soil_test"] = f"sites/{trial['site']}/soilTests/{trial['soil_test']}"
    parts = (part.split("=") for part in trial["part"])
    record["ingredients"] = [{"material": f"materials/{material}", "parts": count} for material, count in parts]
    specimens = (specimen.split("=") for specimen in trial.get("crushed", []))
    record["crushed"] = [dict(zip(("load_kn", "width_mm", "depth_mm"), (load, *sizes.split("x")))) for load, sizes in specimens]
    return {"parent": f"sites/{trial['site']}", "mix_trial_id": trial["id"], "mix_trial": record}


def send_below(client: Client, method: str, collection: str, noun: str, record: dict) -> dict:
    """Something that is kept below a region."""
    return client.ask(method, {"parent": f"{collection}/{record['region']}", noun: resource(record, "region")})
