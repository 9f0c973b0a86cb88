"""A gRPC client of Hod made from what the server tells of itself: no generated stubs, no proto files."""

from __future__ import annotations

from dataclasses import dataclass, field

import grpc
from google.protobuf import json_format, message_factory
from google.protobuf.descriptor_pool import DescriptorPool
from google.rpc import error_details_pb2
from grpc_reflection.v1alpha.proto_reflection_descriptor_database import ProtoReflectionDescriptorDatabase
from grpc_status import rpc_status

PACKAGE = "hod.v1"
SECONDS = 120
BYTES = 256 * 1024 * 1024


@dataclass(frozen=True)
class Refusal:
    """A status that is not OK, with its details told apart."""

    code: str
    message: str
    infos: list = field(default_factory=list)
    fields: list[tuple[str, str]] = field(default_factory=list)
    lacks: list[tuple[str, str, str]] = field(default_factory=list)
    # Why each field was refused, for programs, in the order of `fields`.
    whys: list[str] = field(default_factory=list)

    @property
    def reason(self) -> str:
        """Every error carries exactly one ErrorInfo; none or two is a fault of the server."""
        assert len(self.infos) == 1, f"{self.code} {self.message!r} carries {len(self.infos)} ErrorInfo"
        assert self.infos[0].domain == "hod", self.infos[0]
        return self.infos[0].reason

    def description_of(self, path: str) -> str:
        found = [description for name, description in self.fields if name == path]
        assert len(found) == 1, f"{path}: {found}, of {self.fields}"
        return found[0]


class WithToken(grpc.StreamStreamClientInterceptor):
    """Puts the token on the calls of the reflection library, which takes no metadata of its own."""

    def __init__(self, metadata):
        self.metadata = metadata

    def intercept_stream_stream(self, continuation, details, requests):
        return continuation(details._replace(metadata=self.metadata), requests)


class Client:
    """Calls any method that the server has, by its name, with a request written as a plain dictionary."""

    def __init__(self, address: str, token: str | None):
        options = [("grpc.max_receive_message_length", BYTES), ("grpc.max_send_message_length", BYTES)]
        self.channel = grpc.insecure_channel(address, options=options)
        self.metadata = (("authorization", f"Bearer {token}"),) if token else ()
        reflected = grpc.intercept_channel(self.channel, WithToken(self.metadata))
        self.database = ProtoReflectionDescriptorDatabase(reflected)
        self.pool = DescriptorPool(self.database)
        self.known: dict[str, tuple] = {}

    def close(self) -> None:
        self.channel.close()

    def services(self) -> list[str]:
        return sorted(self.database.get_services())

    def method(self, name: str):
        """`JobService/CreateJob` as its descriptor and its two message classes."""
        if name not in self.known:
            service, rpc = name.split("/")
            descriptor = self.pool.FindServiceByName(f"{PACKAGE}.{service}").methods_by_name[rpc]
            classes = (message_factory.GetMessageClass(one) for one in (descriptor.input_type, descriptor.output_type))
            self.known[name] = (descriptor, *classes)
        return self.known[name]

    def request(self, name: str, request: dict):
        return json_format.ParseDict(request, self.method(name)[1]())

    def raw(self, name: str, request: dict | bytes) -> bytes:
        """The answer's own bytes."""
        sent = request if isinstance(request, bytes) else self.request(name, request).SerializeToString(deterministic=True)
        call = self.channel.unary_unary(f"/{PACKAGE}.{name}")
        return call(sent, metadata=self.metadata, timeout=SECONDS)

    def call(self, name: str, request: dict):
        """The answer of a call that must succeed; a refusal is an error that carries its words."""
        try:
            return self.method(name)[2].FromString(self.raw(name, request))
        except grpc.RpcError as error:
            found = refusal(error)
            raise AssertionError(f"{name} of {str(request)[:300]} was refused: {found}") from error

    def ask(self, name: str, request: dict) -> dict:
        """The answer as a dictionary under the names of the contract."""
        return as_dict(self.call(name, request))

    def stream(self, name: str, requests: list[dict]) -> list[dict]:
        call = self.channel.stream_stream(f"/{PACKAGE}.{name}")
        sent = (self.request(name, one).SerializeToString() for one in requests)
        return [as_dict(self.method(name)[2].FromString(raw)) for raw in call(sent, metadata=self.metadata, timeout=SECONDS)]

    def refused(self, name: str, request: dict | bytes) -> Refusal:
        """The refusal of a call that must not succeed."""
        try:
            answer = self.raw(name, request)
        except grpc.RpcError as error:
            return refusal(error)
        raise AssertionError(f"{name} was answered with {len(answer)} bytes and not refused: {str(request)[:300]}")

    def every(self, name: str, request: dict, listed: str) -> list[dict]:
        """All pages of a list."""
        rows, token = [], ""
        while True:
            page = self.ask(name, request | {"page_token": token})
            rows += page.get(listed, [])
            token = page.get("next_page_token", "")
            if not token:
                return rows


def as_dict(message) -> dict:
    return json_format.MessageToDict(message, preserving_proto_field_name=True)


def refusal(error: grpc.RpcError) -> Refusal:
    status = rpc_status.from_call(error)
    found = Refusal(error.code().name, error.details())
    for detail in status.details if status else []:
        for kind, keep in DETAILS:
            if detail.Is(kind.DESCRIPTOR):
                one = kind()
                detail.Unpack(one)
                keep(found, one)
    return found


DETAILS = [
    (error_details_pb2.ErrorInfo, lambda found, one: found.infos.append(one)),
    (
        error_details_pb2.BadRequest,
        lambda found, one: (found.fields.extend((v.field, v.description) for v in one.field_violations),
                            found.whys.extend(v.reason for v in one.field_violations)),
    ),
    (
        error_details_pb2.PreconditionFailure,
        lambda found, one: found.lacks.extend((v.type, v.subject, v.description) for v in one.violations),
    ),
]
