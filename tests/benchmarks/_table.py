"""What was tried against loss, as a table in DEVELOPERS.md: `python -m tests.benchmarks table [NAME ...]`.

Runs the benchmarks of `AGAINST_LOSS`, or those that are named, and puts what they find into the table. A row
stays with its own seed until the benchmark that it comes from is run again.
"""

from __future__ import annotations

import re
from pathlib import Path

from tests.benchmarks import Figure

AGAINST_LOSS = ("damage", "bursts", "power_cuts", "mutants")
DOCUMENT = Path(__file__).parents[2] / "DEVELOPERS.md"
BEGIN, END = "<!-- loss: python -m tests.benchmarks table -->\n", "<!-- end of loss -->\n"
HEAD = ("| tried | found | goal | cases | seed |", "|---|--:|---|---|---|")


def row(figure: Figure, seed: int, quick: bool) -> str:
    """A line of the table."""
    run = f"{seed}, quick" if quick else str(seed)
    cells = (figure.what, f"{figure.value:.4g}", figure.goal, figure.detail or "all", run)
    return f"| {' | '.join(each.replace('|', '/') for each in cells)} |"


def key(line: str) -> str:
    """What a row is about: the same for other figures of the same sort."""
    return re.sub(r"\d[\d,.]*", "N", line.split("|")[1].strip())


def written(document: Path = DOCUMENT) -> list[str]:
    """The rows as they stand in the document."""
    text = document.read_text(encoding="utf-8").partition(BEGIN)[2].partition(END)[0]
    return text.splitlines()[len(HEAD) :]


def write(rows: list[str], document: Path = DOCUMENT) -> None:
    """Put rows into the document's table, each in place of the one about the same, new ones at the end."""
    known = {key(line): line for line in written(document)}
    known.update({key(line): line for line in rows})
    before, _, rest = document.read_text(encoding="utf-8").partition(BEGIN)
    table = "\n".join((*HEAD, *known.values(), ""))
    document.write_text(f"{before}{BEGIN}{table}{END}{rest.partition(END)[2]}", encoding="utf-8")
