"""PDFs and board files that ask for too much: one clear word within seconds, in bounded memory."""

from __future__ import annotations

import contextlib
import subprocess
import sys
from pathlib import Path

import pytest

from bench.errors import SoldersideError
from bench.papers.lists import ListReading
from bench.papers.paper import read_paper
from bench.papers.pdf.extract import MOST_PAGES, watched
from tests.support.bad_pdfs import GREEDY, pages
from tests.support.boards import FORMATS

SECONDS, MEGABYTES = 20, 1_050
"""Of the processor, by the program with its children; measured: 12 s and 992 MB at most."""
MEASURED = """
import resource, subprocess, sys
command = [sys.executable, "-m", "bench.cli", "read", *sys.argv[1:]]
done = subprocess.run(command, capture_output=True, text=True)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(used.ru_maxrss // 1024)
print(used.ru_utime + used.ru_stime)
print(done.returncode)
print(done.stderr or done.stdout)
"""


def measured(path: Path) -> tuple[int, int, str]:
    """Megabytes at most, how the program ended, and what it said."""
    command = [sys.executable, "-c", MEASURED, str(path), "--new", "--data", str(path.parent / "data")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=400, check=True)
    most, seconds, ended, said = done.stdout.split("\n", 3)
    assert float(seconds) < SECONDS
    return int(most), int(ended), said


@pytest.mark.skipif(sys.platform != "linux", reason="memory is counted as Linux does")
@pytest.mark.parametrize("sort", GREEDY)
def test_a_pdf_that_unfolds_to_gigabytes_is_refused_with_a_word(sort: str, tmp_path: Path) -> None:
    data = GREEDY[sort]()
    assert len(data) < 2_000_000
    (tmp_path / "guide.pdf").write_bytes(data)
    most, ended, said = measured(tmp_path / "guide.pdf")
    assert most < MEGABYTES
    assert ended == 1
    assert "damaged or too large to read; get it anew, or paste the list as text" in said
    assert "Traceback" not in said


@pytest.mark.skipif(sys.platform != "linux", reason="memory is counted as Linux does")
def test_of_ten_thousand_pages_the_first_are_read_and_that_is_said(tmp_path: Path) -> None:
    (tmp_path / "guide.pdf").write_bytes(pages(10_000))
    most, ended, said = measured(tmp_path / "guide.pdf")
    assert most < 200
    assert ended == 0
    assert f"only the first {MOST_PAGES} of 10000 pages were read" in said


@pytest.mark.skipif(sys.platform != "linux", reason="memory is counted as Linux does")
def test_a_board_file_of_two_hundred_megabytes_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "board.kicad_pcb"
    with path.open("wb") as file:
        file.write(FORMATS["KiCad 8"].encode())
        file.truncate(200_000_000)
    most, ended, said = measured(path)
    assert most < 100
    assert ended == 1
    assert "over 50 MB" in said


@pytest.mark.skipif(sys.platform != "linux", reason="memory is counted as Linux does")
def test_a_board_file_just_below_the_limit_is_read_in_seconds(tmp_path: Path) -> None:
    path = tmp_path / "board.kicad_pcb"
    head, _, parts = FORMATS["KiCad 8"].partition("(footprint ")
    parts = f"(footprint {parts.rstrip().removesuffix(')')}"
    path.write_text(f"{head}{parts * (45_000_000 // len(parts))})", encoding="utf-8")
    most, ended, said = measured(path)
    assert most < 400
    assert ended == 0
    assert "4 designators" in said


def test_a_list_that_is_called_pdf_and_a_pdf_that_is_called_list_are_read() -> None:
    found = read_paper(b"Ref,Value\nR1,10k\nR2,22k\n", "list.pdf")
    assert [part.refs for part in found.parts] == [("R1",), ("R2",)]
    assert len(read_paper(pages(1), "list.csv").parts) == 60


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_a_long_one_that_is_cut_off_is_read_or_refused(share: float) -> None:
    data = pages(100)
    found: ListReading | None = None
    with contextlib.suppress(SoldersideError):
        found = read_paper(data[: int(len(data) * share)], "guide.pdf")
    assert found is None or found.parts


def test_each_page_is_told_and_the_reading_stops_when_asked_to() -> None:
    seen: list[tuple[str, int, int]] = []

    def watch(*page: object) -> bool:
        seen.append(page)  # type: ignore[arg-type]
        return len(seen) < 5

    with watched(watch), pytest.raises(SoldersideError, match="was stopped"):
        read_paper(pages(60), "guide.pdf")
    assert seen == [("guide.pdf", at, 60) for at in range(1, 6)]
    seen.clear()
    with watched(lambda *page: not seen.append(page)):  # type: ignore[func-returns-value]
        read_paper(pages(3), "guide.pdf")
    assert [page for _, page, _ in seen] == [1, 2, 3]
    read_paper(pages(2), "guide.pdf")
    assert len(seen) == 3
