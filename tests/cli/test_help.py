"""The manual: every topic is readable, and the reference describes what the parsers know and nothing else."""

from __future__ import annotations

import re
import shlex
from collections.abc import Sequence
from pathlib import Path

import pytest

from bench.batch.store import load_batch
from bench.cli import main, parser
from bench.cli.help import TOPICS, topic_text
from bench.cli.table import TABLE
from bench.kit.case import CASE_KEYS, case_from
from bench.kit.fields import Reader
from bench.kit.kit_file import BOARD_KEYS, CHECK_KEYS, HOLD_KEYS, KIT_KEYS, PANEL_KEYS, TRIM_KEYS
from bench.kit.load import parse_kit
from bench.kit.part_lines import PART_KEYS
from bench.kit.yaml_text import Map
from bench.measure.verdict.meter import FUNCTIONS
from bench.plan import procedure_parser
from bench.plan.conditions import CONDITIONS
from bench.plan.procedure import parse_procedure
from bench.plan.stages import make_plan
from bench.session.verdicts import meter_of
from bench.settings import Settings, parse_settings
from bench.ui.commands import COMMANDS as KEY_COMMANDS
from bench.ui.commands import Keymap, keymap_faults
from tests.support.command_line import ROOT

pytestmark = pytest.mark.usefixtures("own_data")
KIT_SECTIONS = {
    "The file": KIT_KEYS, "panel": PANEL_KEYS, "A board": BOARD_KEYS, "A line of parts": PART_KEYS,
    "A hold point": HOLD_KEYS, "A check": CHECK_KEYS, "A trim": TRIM_KEYS,
}  # fmt: skip
PROCEDURE_SECTIONS = {
    "The file": procedure_parser.TOP_KEYS, "A stage": procedure_parser.STAGE_KEYS,
    "A caution": procedure_parser.CAUTION_KEYS, "A task": procedure_parser.TASK_KEYS,
    "A check": procedure_parser.CHECK_KEYS, "A rule": tuple(CONDITIONS),
}  # fmt: skip
SETTINGS_SECTIONS = {
    "The file": Settings.__struct_fields__, "meter": ("name", "accuracy", *FUNCTIONS), "case": CASE_KEYS,
}  # fmt: skip


def text_of(topic: str) -> str:
    return topic_text(topic, Keymap())


def example(topic: str, language: str) -> str:
    (found,) = re.findall(rf"```{language}\n(.*?)```", text_of(topic), re.DOTALL)
    return str(found)


def described(topic: str) -> dict[str, list[str]]:
    """The keys that each section of a topic describes, for those that describe any."""
    found = {}
    for part in text_of(topic).split("\n## ")[1:]:
        keys = re.findall(r"^- `([^`]+)`: ", part, re.MULTILINE)
        if keys:
            found[part.partition("\n")[0]] = keys
    return found


# -- the whole manual ---------------------------------------------------------------------------
@pytest.mark.parametrize("topic", TOPICS)
def test_a_topic_is_printed_as_plain_text_of_80_columns(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["help", topic]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("# ")
    assert len(lines) > 5
    assert [line for line in lines if len(line) > 80 or line.startswith("@")] == []


def test_help_alone_lists_every_topic_with_its_headline(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["help"]) == 0
    out = capsys.readouterr().out
    for topic in TOPICS:
        assert re.search(rf"^  {topic} +\S.{{3,}}$", out, re.MULTILINE)


@pytest.mark.parametrize("command", ["check", "read"])
def test_help_of_a_command_without_a_topic_is_that_of_the_command(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(["help", command])
    assert left.value.code == 0
    assert capsys.readouterr().out.startswith(f"usage: solderside {command} ")


def test_every_topic_or_command_that_a_topic_sends_to_is_there() -> None:
    for topic in TOPICS:
        text = text_of(topic)
        assert set(re.findall(r"solderside help ([a-z]+)", text)) <= {*TOPICS, *TABLE}, topic
        commands = set(re.findall(r"(?:    |`)solderside ([a-z][a-z-]+)", text))
        assert commands <= set(TABLE), topic


def command_lines(text: str) -> list[list[str]]:
    """The command lines that a text shows, without what is said of them behind two blanks."""
    shown = re.findall(r"^    solderside ([^-].+)$", text.replace("\\\n", " "), re.MULTILINE)
    return [shlex.split(re.split(r"\s{2,}(?!--)", line)[0]) for line in shown]


@pytest.mark.parametrize("topic", TOPICS)
def test_every_command_line_of_a_topic_is_understood(topic: str) -> None:
    for words in command_lines(text_of(topic)):
        assert parser().parse_args(words).command == words[0]


def test_the_command_lines_of_the_readme_are_understood() -> None:
    lines = command_lines((ROOT / "README.md").read_text(encoding="utf-8"))
    assert len(lines) > 5
    for words in lines:
        assert parser().parse_args(words).command == words[0]


def test_the_topics_keys_has_every_command_and_the_builders_own_keys() -> None:
    text = topic_text("keys", Keymap({"done": "f9"}))
    assert re.search(r"^- f9 +\S", text, re.MULTILINE)
    assert set(re.findall(r"`([a-z_0-9]+)`$", text, re.MULTILINE)) == {each.name for each in KEY_COMMANDS}
    assert re.findall(r"^## [a-z]", text, re.MULTILINE) == [], "a place without a title"


def test_every_key_that_the_topic_bench_names_works_there() -> None:
    keys = {key for command in KEY_COMMANDS if "bench" in command.places for key in command.keys}
    keys |= {key.removeprefix("m ") for key in keys}
    named = re.findall(r"\*\*(.|F[0-9]|Space)\*\*", text_of("bench"))
    assert len(named) > 25
    assert {name.lower() for name in named} <= keys


# -- the reference against the parsers ----------------------------------------------------------
@pytest.mark.parametrize(
    ("topic", "sections"),
    [("kit", KIT_SECTIONS), ("procedure", PROCEDURE_SECTIONS), ("settings", SETTINGS_SECTIONS)],
)
def test_every_key_that_a_file_may_have_is_described_and_nothing_else(
    topic: str, sections: dict[str, Sequence[str]]
) -> None:
    found = described(topic)
    assert {name: sorted(keys) for name, keys in found.items()} == {
        name: sorted(keys) for name, keys in sections.items()
    }


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, ...]]:
    """The sets of keys that a reader of YAML allows, as they are asked for."""
    found: list[tuple[str, ...]] = []
    known = Reader.known

    def watched(self: Reader, map: Map, keys: Sequence[str]) -> None:
        found.append(tuple(keys))
        known(self, map, keys)

    monkeypatch.setattr(Reader, "known", watched)
    return found


def test_the_examples_load_and_no_part_of_a_file_is_left_undescribed(asked: list[tuple[str, ...]]) -> None:
    kit = parse_kit(example("kit", "yaml").encode(), "kit.yaml")
    assert set(asked) == set(KIT_SECTIONS.values())
    asked.clear()
    procedure = parse_procedure(example("procedure", "yaml").encode(), "procedure.yaml")
    parse_procedure(
        b"procedure: 1\nname: x\nstages: [{name: a, takes: [{height: 1-9}], cautions: [{say: Mind it.}]}]", "p"
    )
    assert set(asked) == set(PROCEDURE_SECTIONS.values())
    assert make_plan(kit, procedure).joints > 0


def test_the_example_of_a_kit_file_has_every_key() -> None:
    text = example("kit", "yaml")
    for name, keys in KIT_SECTIONS.items():
        for key in {*keys} - {"case"}:
            assert re.search(rf"\b{key}:", text), f"{name}: {key}"


def test_the_example_of_the_settings_is_the_defaults_with_a_meter_and_a_case() -> None:
    text = example("settings", "toml")
    settings, warnings = parse_settings(text, "settings.toml")
    assert not warnings
    assert not keymap_faults(settings.keys, "settings.toml")
    for name in Settings.__struct_fields__:
        assert re.search(rf"^\[?{name}\b", text, re.MULTILINE)
        if name not in ("keys", "meter", "case"):
            assert getattr(settings, name) == getattr(Settings(), name), name
    assert meter_of(settings.meter).name == "bench meter"
    assert case_from(settings.case).words == "2 rows of 84 HP, 3 U, 60 mm deep"


def test_the_keys_of_a_batch_file_are_described_and_nothing_else(tmp_path: Path) -> None:
    keys = described("batch")["batch.toml"]
    (tmp_path / "batch.toml").write_text('kits = ["fog-filter"]\norder = "needs"\n[pins]\nfog-filter = 1\n')
    batch = load_batch(tmp_path)
    assert sorted(keys) == sorted(batch.__struct_fields__)
    assert (batch.kits, batch.order, batch.pins) == (("fog-filter",), "needs", {"fog-filter": 1})
