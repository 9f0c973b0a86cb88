"""Runs the example programs of hod-units: lines in, lines out."""

import os
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]


def answers(program: str, lines: list[str]) -> list[str]:
    """What the program answers to the lines; a failing program or a missing answer fails the test that asks."""
    path = Path(os.environ.get("HOD_BIN_DIR", ROOT / "target" / "debug" / "examples")) / program
    assert path.exists(), f"{path} is not built: cargo build -p hod-units --examples, or set HOD_BIN_DIR"
    run = subprocess.run([path], input="".join(line + "\n" for line in lines), capture_output=True, text=True)
    assert run.returncode == 0, f"{program} ended with {run.returncode}: {run.stderr}"
    return run.stdout.splitlines()
