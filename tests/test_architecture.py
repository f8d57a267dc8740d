"""The laws of the house: which room may know which, and what each may touch."""

from __future__ import annotations

import argparse
import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import bench

ROOT = Path(bench.__file__).parent
ROOMS = [
    "errors",
    "files",
    "cache",
    "parts",
    "log",
    "kit",
    "papers",
    "plan",
    "measure",
    "settings",
    "session",
    "estimate",
    "suspects",
    "batch",
    "writeup",
    "ui",
    "tui",
    "plain",
    "start",
    "cli",
]
"""Each room may import those before it; `errors` stands under everything."""

PURE = [
    "parts",
    "kit/danger.py",
    "kit/rails.py",
    "papers/doubts/options.py",
    "papers/doubts/decisions.py",
    "papers/lists/headings.py",
    "papers/lists/remembered.py",
    "papers/doubts/rulings.py",
    "papers/doubts/settle.py",
    "papers/doubts/typed_answers.py",
    "plan",
    "measure/verdict/verdict.py",
    "measure/tuning/tracking.py",
    "log/progress.py",
    "log/fold.py",
    "log/clock.py",
    "log/amend.py",
    "estimate/log_observations.py",
    "log/sitting.py",
    "writeup/story.py",
    "writeup/help_request.py",
    "writeup/photos/exif_time.py",
    "writeup/photos/camera_clock.py",
    "writeup/photos/photo_map.py",
    "writeup/photos/spots.py",
    "writeup/photos/clock_photo.py",
    "writeup/pictures.py",
    "writeup/sheets",
    "log/timeline.py",
    "writeup/film/clock_map.py",
    "writeup/film/clip_times.py",
    "writeup/film/clips.py",
    "writeup/film/marks.py",
    "writeup/film/chapters.py",
    "writeup/film/chapter_files.py",
    "writeup/film/cut_list.py",
    "writeup/film/footage.py",
    "writeup/filmed.py",
    "ui/clock_face.py",
    "writeup/alikes.py",
    "writeup/article.py",
    "writeup/blocks.py",
    "writeup/charts.py",
    "writeup/fault_search.py",
    "writeup/markdown.py",
    "writeup/measured.py",
    "writeup/own_words.py",
    "writeup/page.py",
    "writeup/sections.py",
    "writeup/snag_kinds.py",
    "writeup/snags.py",
    "writeup/summary.py",
    "writeup/chronology.py",
    "writeup/compare_builds.py",
    "writeup/tracking.py",
    "writeup/words.py",
    "ui/article.py",
    "session/view.py",
    "suspects/symptom.py",
    "suspects/suspicion.py",
    "suspects/from_log.py",
    "suspects/fault_list.py",
    "suspects/proximity.py",
    "session/board_map.py",
    "ui/batch_card.py",
    "estimate/stats.py",
    "estimate/stats_text.py",
    "estimate/reminders.py",
    "ui/card.py",
    "ui/blocks.py",
    "ui/bands.py",
    "ui/board_map.py",
    "ui/list_rows.py",
    "ui/drawings.py",
    "ui/shapes.py",
    "ui/prints.py",
    "ui/big_type.py",
    "ui/text.py",
    "ui/forms.py",
    "plain/spoken.py",
]
READS_A_FILE = {"plan/procedure.py"}
FORBIDDEN_WHEN_PURE = {
    "os",
    "pathlib",
    "time",
    "random",
    "secrets",
    "socket",
    "subprocess",
    "textual",
    "io",
    "tempfile",
    "shutil",
    "platformdirs",
    "yaml",
    "threading",
    "asyncio",
}

MEASURES_CELLS = {
    ("text.py", module) for module in ("rich.cells", "rich.cells.cell_len", "rich.cells.set_cell_size")
}
"""How wide a text is on a terminal: the one thing that `ui/text.py` asks Rich."""

TOUCHING = {"open", "input", "print", "eval", "exec", "__import__"}

MOST_LINES = 500


def sources() -> Iterator[Path]:
    yield from sorted(path for path in ROOT.rglob("*.py") if "shipped_kits" not in path.parts)


def imports(path: Path) -> Iterator[tuple[str, int]]:
    """Every module that a file imports, wherever in it, except for type checking only."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            skipped.update(ast.walk(node))
        if node in skipped:
            continue
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: relative import"
            yield node.module or "", node.lineno
            yield from ((f"{node.module}.{alias.name}", node.lineno) for alias in node.names)


def room_of(module: str) -> str | None:
    parts = module.split(".")
    return parts[1] if parts[0] == "bench" and len(parts) > 1 and parts[1] in ROOMS else None


def test_every_room_is_in_the_list() -> None:
    found = {path.relative_to(ROOT).parts[0].removesuffix(".py") for path in sources()} - {"__init__"}
    assert found == set(ROOMS)


def test_imports_run_one_way() -> None:
    wrong = []
    for path in sources():
        here = path.relative_to(ROOT).parts[0].removesuffix(".py")
        if here == "__init__":
            continue
        for module, line in imports(path):
            there = room_of(module)
            if there and ROOMS.index(there) > ROOMS.index(here):
                wrong.append(f"{path}:{line}: {here} imports {module}")
    assert not wrong


def test_only_the_tui_knows_textual_and_rich() -> None:
    wrong = [
        f"{path}:{line}"
        for path in sources()
        if path.relative_to(ROOT).parts[0] != "tui"
        for module, line in imports(path)
        if module.split(".")[0] in ("textual", "rich") and (path.name, module) not in MEASURES_CELLS
    ]
    assert not wrong


def test_pure_rooms_touch_no_file_clock_environment_or_chance() -> None:
    wrong = []
    for place in PURE:
        target = ROOT / place
        for path in [target] if target.suffix else sorted(target.rglob("*.py")):
            if path.relative_to(ROOT).as_posix() in READS_A_FILE:
                continue
            for module, line in imports(path):
                if module.split(".")[0] in FORBIDDEN_WHEN_PURE:
                    wrong.append(f"{path}:{line}: {module}")
            tree = ast.parse(path.read_text(encoding="utf-8"))
            for node in ast.walk(tree):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in TOUCHING:
                    wrong.append(f"{path}:{node.lineno}: {node.func.id}()")
                if isinstance(node, ast.Attribute) and node.attr in ("now", "today", "utcnow"):
                    wrong.append(f"{path}:{node.lineno}: .{node.attr}")
    assert not wrong


def test_widgets_touch_no_file_and_no_log() -> None:
    wrong = [
        f"{path}:{line}: {module}"
        for path in sorted((ROOT / "tui" / "widgets").rglob("*.py"))
        for module, line in imports(path)
        if module.startswith(
            ("bench.log.file", "bench.session.build", "bench.session.folders", "os", "pathlib")
        )
    ]
    assert not wrong


@pytest.mark.parametrize("module", ["bench.cli", "bench.kit.load", "bench.session.folders", "bench.log.file"])
def test_importing_a_room_loads_neither_textual_nor_yaml(module: str) -> None:
    code = f"import sys, {module}; print(*sorted({{'textual', 'yaml', 'jinja2', 'numpy'}} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT.parent
    )
    assert done.stdout.strip() == ""


def test_no_file_has_grown_past_one_room() -> None:
    long = {
        str(path): lines for path in sources() if (lines := len(path.read_text().splitlines())) > MOST_LINES
    }
    assert not long


def test_texts_of_people_reach_widgets_as_content_never_as_markup() -> None:
    """Widgets get ready-made Content or line strips; `Static("text")` and `notify` would read markup."""
    wrong = []
    for path in sorted((ROOT / "tui").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            if name in ("Static", "Label", "update") and node.args and not _is_content(node.args[0]):
                wrong.append(f"{path}:{node.lineno}: {name}")
            if name == "notify":
                wrong.append(f"{path}:{node.lineno}: notify")
    assert not wrong


def _is_content(node: ast.expr) -> bool:
    if isinstance(node, ast.Call):
        function = node.func
        if isinstance(function, ast.Attribute):
            return isinstance(function.value, ast.Name) and function.value.id == "Content"
        return isinstance(function, ast.Name) and function.id == "Content"
    return isinstance(node, ast.Dict | ast.DictComp | ast.Set | ast.Name | ast.GeneratorExp)


def test_each_sub_command_is_added_by_the_module_that_the_table_names() -> None:
    import importlib

    from bench.cli import COMMANDS, parser

    for group in dict.fromkeys(COMMANDS.values()):
        added: list[str] = []

        def add(name: str, *_: object, added: list[str] = added) -> argparse.ArgumentParser:
            added.append(name)
            return argparse.ArgumentParser()

        importlib.import_module(f"bench.cli.{group}").add(add)
        assert added == [name for name, module in COMMANDS.items() if module == group]
    for name in COMMANDS:
        assert f"solderside {name}" in parser(name).format_usage() or name in parser(name).format_help()
    assert {path.stem for path in (ROOT / "cli").glob("*.py")} - {"__init__", "__main__", "common"} == set(
        COMMANDS.values()
    )
