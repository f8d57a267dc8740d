"""The laws of the house: which room may know which, and what each may touch."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import bench
from tests import rooms

ROOT = Path(bench.__file__).parent

TOUCHES_THE_WORLD = {
    "batch/gather.py",
    "batch/shelf_at_work.py",
    "batch/shelf.py",
    "batch/shopping.py",
    "batch/at_work.py",
    "batch/store.py",
    "cache.py",
    "files.py",
    "settings.py",
    "start.py",
    "cli/__init__.py",
    "cli/batch.py",
    "cli/builds.py",
    "cli/common.py",
    "cli/completion.py",
    "cli/clips.py",
    "cli/film.py",
    "cli/group.py",
    "cli/find.py",
    "cli/help.py",
    "cli/keeping.py",
    "cli/lists.py",
    "cli/man.py",
    "cli/measuring.py",
    "cli/photos.py",
    "cli/article.py",
    "cli/sheets.py",
    "estimate/history.py",
    "kit/load.py",
    "kit/write.py",
    "kit/yaml_text.py",
    "log/file.py",
    "measure/pitch/pitch.py",
    "measure/pitch/wav.py",
    "papers/list_files.py",
    "papers/list_session.py",
    "papers/lists/delimited.py",
    "papers/lists/spreadsheet.py",
    "papers/makers.py",
    "papers/to_kit.py",
    "plain/parts_list.py",
    "plain/place.py",
    "plain/reader.py",
    "plain/session.py",
    "plain/shelf.py",
    "plan/procedure.py",
    "session/caption_file.py",
    "session/build_archive.py",
    "session/own_files.py",
    "session/drafts.py",
    "session/event_writer.py",
    "session/folders.py",
    "session/from_list.py",
    "session/kit_names.py",
    "session/put_away.py",
    "session/summaries.py",
    "session/together.py",
    "session/typed_pass.py",
    "session/under_way.py",
    "session/which_build.py",
    "tui/app.py",
    "tui/driver.py",
    "tui/screens/batch.py",
    "tui/screens/command_screen.py",
    "tui/screens/gate.py",
    "tui/screens/list_files.py",
    "tui/screens/list_kit.py",
    "tui/screens/article.py",
    "tui/screens/shelf.py",
    "tui/screens/trim.py",
    "tui/themes.py",
    "ui/speaker.py",
    "ui/trim_forms.py",
    "writeup/film/kit.py",
    "writeup/film/media_files.py",
    "writeup/maker_texts.py",
    "writeup/keep_own_text.py",
    "writeup/output_files.py",
    "writeup/photos/copies.py",
    "writeup/photos/matching.py",
    "writeup/photos/page_photos.py",
    "writeup/photos/web_copy.py",
    "writeup/publish.py",
    "writeup/sheets/publish.py",
    "writeup/templating.py",
    "papers/folder.py",
    "papers/pdf/extract.py",
}
"""The files that may touch disk, clock, environment or chance; all others reckon with what they are given."""

DISK = {"fnmatch", "glob", "io", "os", "pathlib", "shutil", "tempfile", "zipfile"}
CLOCK_AND_CHANCE = {"locale", "random", "secrets", "time", "uuid", "zoneinfo"}
PROCESS = {"asyncio", "atexit", "errno", "fcntl", "gc", "importlib", "multiprocessing", "platform", "signal"}
TERMINAL = {"curses", "getpass", "logging", "selectors", "subprocess", "sys", "termios", "threading", "tty"}
NET = {"http", "socket", "ssl", "urllib", "webbrowser"}
LIBRARIES = {"PIL", "filelock", "jinja2", "platformdirs", "pypdf", "python_calamine", "tomli_w", "yaml"}
WORLD = DISK | CLOCK_AND_CHANCE | PROCESS | TERMINAL | NET | LIBRARIES
"""What reaches out of the program, or through which it is reached."""

PURE_OF_WORLD = {"io.BytesIO", "io.StringIO", "urllib.parse", "sys.maxsize", "sys.float_info"}
ASKS_THE_CLOCK = {"datetime.now", "datetime.today", "datetime.utcnow", "date.today"}
TOUCHING = {"open", "input", "print", "eval", "exec", "__import__"}

MOST_LINES = 500
MOST_COMPLEX = 20
"""McCabe's number that no function may be above."""

MOST_BRANCHED = 0.11
"""The share of functions above McCabe's limit of 10; the aim is 0.05."""


@cache
def files() -> tuple[Path, ...]:
    return tuple(sorted(path for path in ROOT.rglob("*.py") if "shipped_kits" not in path.parts))


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Every node of a file but what is imported for type checking only."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            node.body = []
    return tuple(ast.walk(tree))


def reaches_out(path: Path) -> Iterator[str]:
    """What in a file is not pure."""
    for node in nodes(path):
        match node:
            case ast.Import(names=names):
                found = [alias.name for alias in names if is_of_the_world(alias.name)]
            case ast.ImportFrom(module=str(module), names=names) if module not in PURE_OF_WORLD:
                found = [what for alias in names if is_of_the_world(what := f"{module}.{alias.name}")]
            case ast.Call(func=ast.Name(id=name)) if name in TOUCHING:
                found = [f"{name}()"]
            case ast.Attribute(value=ast.Name(id=owner), attr=attr) if f"{owner}.{attr}" in ASKS_THE_CLOCK:
                found = [f"{owner}.{attr}"]
            case _:
                continue
        yield from (f"{path}:{node.lineno}: {what}" for what in found)


def is_of_the_world(module: str) -> bool:
    return module.split(".")[0] in WORLD and module not in PURE_OF_WORLD


def test_imports_keep_to_the_contracts() -> None:
    """Which room, folder and file may import which is written in pyproject.toml."""
    command = [sys.executable, "-c", "from importlinter.cli import lint_imports_command as run; run()"]
    done = subprocess.run([*command, "--no-cache"], capture_output=True, text=True, cwd=ROOT.parent)
    assert done.returncode == 0, done.stdout
    assert "0 broken" in done.stdout


def test_files_are_pure_unless_they_are_named() -> None:
    wrong = [
        what
        for path in files()
        if path.relative_to(ROOT).as_posix() not in TOUCHES_THE_WORLD
        for what in reaches_out(path)
    ]
    assert not wrong


def test_what_is_named_does_touch_the_world() -> None:
    """Whoever makes a file pure takes it off the list."""
    reach_out = {path.relative_to(ROOT).as_posix() for path in files() if any(reaches_out(path))}
    assert not TOUCHES_THE_WORLD - reach_out


@pytest.mark.parametrize("module", ["bench.cli", "bench.kit.load", "bench.session.folders", "bench.log.file"])
def test_importing_a_room_loads_neither_textual_nor_yaml(module: str) -> None:
    heavy = {"textual", "yaml", "jinja2", "markdown_it", "numpy"}
    code = f"import sys, {module}; print(*sorted({heavy} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT.parent
    )
    assert done.stdout.strip() == ""


def test_no_file_has_grown_past_one_room() -> None:
    long = {str(path): lines for path in files() if (lines := len(path.read_text().splitlines())) > MOST_LINES}
    assert not long


def test_no_function_is_too_complex() -> None:
    above = {each.where: each.complexity for each in rooms.functions() if each.complexity > MOST_COMPLEX}
    assert not above


def test_few_functions_are_complex() -> None:
    assert rooms.share_above(rooms.functions()) <= MOST_BRANCHED


def test_the_table_of_rooms_is_not_far_from_what_it_measures() -> None:
    """It is written now and then, not with each change: `python -m tests.rooms --write`."""
    told = rooms.written()
    assert set(told) == {room.name for room in rooms.rooms()} | {"bench"}
    far = [room for room in rooms.rooms() if abs(room.lines - told[room.name]) > 100 + 0.2 * room.lines]
    assert not far


def test_texts_of_people_reach_widgets_as_content_never_as_markup() -> None:
    """Widgets get ready-made Content or line strips; `Static("text")` and `notify` would read markup."""
    wrong = []
    for path in files():
        if path.relative_to(ROOT).parts[0] != "tui":
            continue
        for node in nodes(path):
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

    from bench.cli import parser
    from bench.cli.table import TABLE

    for name, command in TABLE.items():
        module = importlib.import_module(f"bench.cli.{command.module}")
        assert callable(getattr(module, "_" + name.replace("-", "_")))
        assert f"solderside {name}" in parser(name).format_usage() or name in parser(name).format_help()
    modules = {path.stem for path in (ROOT / "cli").glob("*.py")} - {"__init__", "__main__", "common", "table"}
    assert modules == {command.module for command in TABLE.values()}
