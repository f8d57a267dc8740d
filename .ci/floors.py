"""Print constraints for pip: every dependency at the lowest version that pyproject.toml allows."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

FILE = Path(__file__).parent.parent / "pyproject.toml"
PROJECT = tomllib.loads(FILE.read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"].values()

for requirement in sorted({*PROJECT["dependencies"], *(each for extra in EXTRAS for each in extra)}):
    floor = re.match(r"([\w.-]+)>=([\w.]+)", requirement)
    if floor:
        print(f"{floor[1]}=={floor[2]}")
