"""The article from the command line: formats, files, several builds."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.cli import main
from tests.cli.test_commands import a_whole_build
from tests.support.command_line import a_build, assert_inert, data_from, run


@pytest.fixture
def name(own_data: Path, kit_file: Path) -> str:
    return a_whole_build(own_data, kit_file)


def lines(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[str]:
    """What a command that ends well prints."""
    assert main(["article", *arguments]) == 0
    return capsys.readouterr().out.splitlines()


def test_by_default_markdown_and_html_lie_beside_the_log(
    own_data: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = own_data / "builds" / name
    assert lines(capsys, name) == [str(folder / "article.md"), str(folder / "article.html")]
    assert not (folder / "article.json").exists()


@pytest.mark.parametrize(
    ("arguments", "names"),
    [
        (["--format", "json,html"], ["article.html", "article.json"]),
        (["--html"], ["article.html"]),
    ],
)
def test_formats_are_chosen(
    own_data: Path, name: str, capsys: pytest.CaptureFixture[str], arguments: list[str], names: list[str]
) -> None:
    assert [Path(line).name for line in lines(capsys, name, *arguments)] == names


def test_the_ending_of_a_file_says_which_format_it_is(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for ending, start in ((".md", "<!-- solderside"), (".html", "<!DOCTYPE html>"), (".json", "{")):
        target = tmp_path / f"built{ending}"
        assert lines(capsys, name, "--out", str(target)) == [str(target)]
        assert target.read_text(encoding="utf-8").startswith(start)
    target = tmp_path / "page.html"
    assert lines(capsys, name, "--html", str(target)) == [str(target)]
    folder = tmp_path / "blog"
    folder.mkdir()
    assert [Path(line).parent for line in lines(capsys, name, "--out", str(folder))] == [folder, folder]


def test_a_name_that_ends_in_a_slash_is_a_folder_made_if_need_be(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    written = lines(capsys, name, "--out", f"{tmp_path}/new/blog/")
    assert [Path(line).parent for line in written] == [tmp_path / "new" / "blog"] * 2


def test_a_page_goes_to_the_terminal_without_a_control_character(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for form, start in (("html", "<!DOCTYPE html>"), ("markdown", "# "), ("json", "{")):
        assert main(["article", name, "--format", form, "--out", "-"]) == 0
        said = capsys.readouterr().out
        assert said.startswith(start)
        assert_inert(said)


@pytest.mark.parametrize(
    "arguments",
    [
        ["--format", "pdf"], ["--format", ","], ["--out", "nothing-says-what"], ["--html", "a", "--out", "b"],
        ["--html", "--format", "html"], ["--format", "markdown,html", "--out", "-"],
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_wrong_use(
    name: str, arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(["article", name, *arguments])
    said = capsys.readouterr()
    assert (left.value.code, said.out) == (2, "")
    assert said.err.count("\n") == 1


def test_one_file_of_somebody_else_is_told_and_the_other_is_written(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "blog").mkdir()
    mine = tmp_path / "blog" / "article.html"
    mine.write_text("mine")
    assert main(["article", name, "--out", str(mine.parent)]) == 1
    said = capsys.readouterr()
    assert said.out == f"{mine.with_suffix('.md')}\n"
    assert str(mine) in said.err
    assert mine.read_text() == "mine"
    assert main(["article", name, "--out", str(mine.parent), "--force"]) == 0
    assert "article.before.html" in capsys.readouterr().err


def test_several_builds_stand_side_by_side(
    own_data: Path, name: str, kit_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other_kit = tmp_path / "other.yaml"
    other_kit.write_text(kit_file.read_text().replace("name: ", "name: Other ", 1))
    other = a_whole_build(own_data, other_kit)
    assert other != name
    (line,) = lines(capsys, name, other)
    assert Path(line).parent == own_data
    assert Path(line).read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert len(data_from(capsys, "article", name, other, "--json")["builds"]) == 2
    assert main(["article", name, other, "--format", "markdown", "--out", "-"]) == 0
    page = capsys.readouterr().out
    assert page.startswith("# Two builds side by side")
    assert_inert(page)
    assert main(["article", name, "nothing"]) == 1


def test_the_help_has_an_example(own_data: Path) -> None:
    a_build(own_data)
    said = run("article", "--help").stdout.decode()
    assert "Example: solderside article twin-board-oscillator" in said
    assert "--format" in said


def test_an_article_of_an_earlier_program_goes_on_under_the_name_it_has(
    own_data: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = own_data / "builds" / name
    lines(capsys, name)
    page = (folder / "article.md").read_text(encoding="utf-8")
    words = page.replace(": opening -->\n", ": opening -->\nMine.\n", 1)
    (folder / "retrospective.md").write_text(words, encoding="utf-8")
    (folder / "article.md").unlink()
    assert lines(capsys, name) == [str(folder / "retrospective.md"), str(folder / "article.html")]
    assert "Mine." in (folder / "retrospective.md").read_text(encoding="utf-8")
    assert not (folder / "article.md").exists()


def test_the_old_name_of_the_command_leads_to_the_new_one(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["retro", "lamp"])
    assert "did you mean article" in capsys.readouterr().err
