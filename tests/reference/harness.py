"""Drives the real `hod-server` and the real `hod` from outside, as a user would.

It starts one server on data of its own, writes job files and reads back what
the command prints. It knows nothing of how either is built.
"""

from __future__ import annotations

import json
import os
import re
import selectors
import shutil
import signal
import subprocess
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BINARIES = Path(os.environ.get("HOD_BIN_DIR", ROOT / "target" / "debug"))
READY_SECONDS = 120
FILES_PER_CALL = 60


class Server:
    """A running `hod-server`, with data of its own unless it is given some, which it then leaves."""

    def __init__(self, folder: Path, data: Path | None = None):
        self.owns_data = data is None
        self.data = data or data_folder()
        self.log = (folder / "server.log").open("w")
        environment = outside_settings() | {"HOD_LISTEN": "127.0.0.1:0", "HOD_DATA": str(self.data)}
        self.process = subprocess.Popen(
            [binary("hod-server")], env=environment, stdout=subprocess.PIPE, stderr=self.log, text=True,
        )
        self.address = self.wait_until_ready()

    def wait_until_ready(self) -> str:
        """Reads the one ready line, which names the address."""
        with selectors.DefaultSelector() as selector:
            selector.register(self.process.stdout, selectors.EVENT_READ)
            deadline = time.monotonic() + READY_SECONDS
            while time.monotonic() < deadline:
                if not selector.select(timeout=1):
                    continue
                line = self.process.stdout.readline()
                found = re.search(r"127\.0\.0\.1:(\d+)", line)
                if found:
                    return found.group(0)
                if not line:
                    break
        self.stop()
        raise RuntimeError(f"hod-server was not ready: {self.log_text()}")

    def log_text(self) -> str:
        return Path(self.log.name).read_text()[-4000:]

    def owner_token(self) -> str:
        """The owner's token, which the first start writes for its own user to read."""
        return (self.data / "owner-token").read_text().strip()

    def stop(self) -> None:
        """Asks the server to drain, and ends it only when it does not."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(timeout=30)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()
        self.log.close()
        if self.owns_data:
            shutil.rmtree(self.data, ignore_errors=True)


def data_folder() -> Path:
    """A new folder that can be passed through.

    Started by root, the private Postgres runs as another user, who could not pass
    through the closed folders that pytest makes.
    """
    folder = Path(tempfile.mkdtemp(prefix="hod-reference-"))
    folder.chmod(0o711)
    return folder


def outside_settings() -> dict[str, str]:
    """The caller's environment without any setting of Hod's, so that no other server is met."""
    return {name: value for name, value in os.environ.items() if not name.startswith("HOD_")}


def binary(name: str) -> str:
    path = BINARIES / name
    if not path.exists():
        raise RuntimeError(f"{path} is not built: `cargo build -p hod-cli -p hod-service`, or set HOD_BIN_DIR")
    return str(path)


class Hod:
    """The `hod` command, called against one server."""

    def __init__(self, server: Server, folder: Path):
        self.folder = folder
        self.settings = outside_settings() | {"HOD_SERVER": server.address, "HOD_TOKEN": server.owner_token()}
        self.files = 0

    def run(self, *arguments: str) -> subprocess.CompletedProcess:
        return subprocess.run(
            [binary("hod"), *arguments], env=self.settings, cwd=self.folder,
            capture_output=True, text=True, timeout=300,
        )

    def answer(self, *arguments: str) -> str:
        """What the command prints; a refusal is an error that carries its words."""
        done = self.run(*arguments)
        if done.returncode != 0:
            shown = " ".join(arguments)[:300]
            raise AssertionError(f"hod {shown} ended with {done.returncode}:\n{done.stderr[-4000:]}")
        return done.stdout

    def write(self, job: dict) -> str:
        self.files += 1
        path = self.folder / f"job-{self.files}.toml"
        path.write_text(job_toml(job))
        return str(path)

    def takeoff(self, job: dict) -> dict:
        return json.loads(self.answer("takeoff", self.write(job), "--format", "json"))

    def takeoff_many(self, jobs: list[dict]) -> list[dict]:
        """Takeoffs in the order of the jobs, many files to a call."""
        files = [self.write(job) for job in jobs]
        answers = []
        for start in range(0, len(files), FILES_PER_CALL):
            text = self.answer("takeoff", *files[start : start + FILES_PER_CALL], "--format", "jsonl")
            answers += [json.loads(line) for line in text.splitlines() if line.strip()]
        assert len(answers) == len(jobs), f"{len(jobs)} files gave {len(answers)} takeoffs"
        return answers


def job_toml(job: dict) -> str:
    """A job as a TOML job file; every number is a plain decimal literal of at most six places."""
    lines: list[str] = []
    write_table(lines, [], job)
    return "\n".join(lines) + "\n"


def write_table(lines: list[str], path: list[str], table: dict) -> None:
    inner = {key: value for key, value in table.items() if isinstance(value, list) and value and isinstance(value[0], dict)}
    lines += [f"{key} = {toml_value(value)}" for key, value in table.items() if key not in inner and value != []]
    for key, rows in inner.items():
        for row in rows:
            lines += ["", f"[[{'.'.join([*path, key])}]]"]
            write_table(lines, [*path, key], row)


def toml_value(value) -> str:
    if isinstance(value, str):
        return json.dumps(value)
    if isinstance(value, list):
        return "[" + ", ".join(toml_value(item) for item in value) + "]"
    if isinstance(value, int):
        return str(value)
    text = f"{value:.6f}".rstrip("0")
    return text + "0" if text.endswith(".") else text
