"""YAML read as text, against YAML 1.2.2 (yaml.org/spec/1.2.2) and PyYAML's own text-only loader."""

from __future__ import annotations

import os
import subprocess
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import FileFaults, SoldersideError
from bench.kit import yaml_text as yamltext
from bench.kit.yaml_text import MAX_BYTES, MAX_DEPTH, Map, Node, Seq, Text, read_bytes, read_yaml

PARSERS = [
    pytest.param(getattr(yaml, "CSafeLoader", yaml.SafeLoader), id="C"),
    pytest.param(yaml.SafeLoader, id="pure"),
]


@pytest.fixture(params=PARSERS)
def parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Runs a test with PyYAML's C parser and again with its pure one."""
    monkeypatch.setattr(yamltext, "_parser", lambda: request.param)


def plain(node: Node) -> object:
    """The tree as lists, dicts and strings."""
    match node:
        case Text():
            return node.value
        case Seq():
            return [plain(item) for item in node.items]
        case Map():
            return {key: plain(child) for key, _, child in node.entries}


def faults(data: bytes | str) -> list[str]:
    """What is said about a file that cannot be read."""
    with pytest.raises(FileFaults) as caught:
        read_yaml(data if isinstance(data, bytes) else data.encode(), "f.yaml")
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.usefixtures("parser")
def test_what_looks_like_a_number_a_time_or_a_truth_stays_text() -> None:
    tree = read_yaml(b"a: 0603\nb: NO\nc: 12:30\nd: 1e3\ne: ~\nf: 2031-02-03\ng:\nh: 0x1F\n", "f")
    assert plain(tree) == {
        "a": "0603", "b": "NO", "c": "12:30", "d": "1e3", "e": "~", "f": "2031-02-03", "g": "", "h": "0x1F",
    }  # fmt: skip


@pytest.mark.usefixtures("parser")
def test_every_node_knows_its_line() -> None:
    tree = read_yaml("# one\na: x\n\nb:\n  - y\n  - {c: z,\n     d: é}\n".encode(), "f")
    assert isinstance(tree, Map)
    assert [(key, line) for key, line, _ in tree.entries] == [("a", 2), ("b", 4)]
    listed = tree.get("b")
    assert isinstance(listed, Seq)
    assert [item.line for item in listed.items] == [5, 6]
    inner = listed.items[1]
    assert isinstance(inner, Map)
    assert (inner.line_of("c"), inner.line_of("d"), inner.line_of("nothing")) == (6, 7, 6)
    assert inner.get("d") == Text(value="é", line=7)


@pytest.mark.parametrize("line_break", ["\n", "\r\n", "\r"])
def test_lines_are_counted_whatever_ends_them(line_break: str) -> None:
    """YAML 1.2.2 production [28] b-break: CR LF, CR or LF."""
    tree = read_yaml(line_break.join(["a: 1", "b: 2", "c: 3", ""]).encode(), "f")
    assert isinstance(tree, Map)
    assert [line for _, line, _ in tree.entries] == [1, 2, 3]
    assert faults(line_break.join(["a: 1", "b: 2", "a: 3"])) == [
        'f.yaml:3: "a" appears twice (first in line 1); keep one of them'
    ]


def test_a_block_text_has_no_final_line_break() -> None:
    assert plain(read_yaml(b"a: |\n  one\n  two\n\nb: >\n  one\n  two\n", "f")) == {
        "a": "one\ntwo",
        "b": "one two",
    }


TEXTS = st.text(
    st.characters(blacklist_categories=["Cc", "Cs", "Zl", "Zp", "Cn"], blacklist_characters="\ufeff")
)
TREES = st.recursive(
    TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXTS, inner, max_size=4),
    max_leaves=25,
)


@given(TREES.filter(bool), st.booleans())
def test_the_tree_is_what_pyyaml_reads_when_it_takes_everything_for_text(tree: object, flow: bool) -> None:
    """The reference is yaml.BaseLoader, which knows no types but text, list and mapping."""
    written = yaml.safe_dump(tree, default_flow_style=flow, allow_unicode=True, sort_keys=False)
    expected = yaml.load(written, Loader=yaml.BaseLoader)
    if "<<" in written:
        return  # a merge key, tested below
    assert plain(read_yaml(written.encode(), "f")) == expected == tree


@pytest.mark.usefixtures("parser")
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a: 1\na: 2\n", 'f.yaml:2: "a" appears twice (first in line 1); keep one of them'),
        ("{a: 1,\n b: 2,\n a: 3}\n", 'f.yaml:3: "a" appears twice (first in line 1); keep one of them'),
        ("<<: {a: 1}\n", "f.yaml:1: a merge key (<<); write the entries out"),
        ("a: 1\n---\nb: 2\n", "f.yaml:2: a second document starts here (---); keep one document in a file"),
        ("[1, 2]: x\n", "f.yaml:1: a list or mapping where a key should be; write `key: value`"),
        ("a:\n\tb: 1\n", "f.yaml:2: a tab at the start of the line; use spaces"),
    ],
)
def test_what_is_refused_is_named_with_its_line(text: str, expected: str) -> None:
    """Keys must be unique: YAML 1.2.2, 3.2.1.1. Tabs do not indent: YAML 1.2.2, 6.1."""
    assert faults(text) == [expected]


@pytest.mark.usefixtures("parser")
def test_a_tab_in_the_middle_of_a_wrong_line_is_not_said_to_stand_at_its_start() -> None:
    (said,) = faults("x: 1\na: b\tc: d\n")
    assert said.startswith("f.yaml:2: ")
    assert "a tab at the start" not in said


@pytest.mark.usefixtures("parser")
@pytest.mark.parametrize(
    "tagged",
    [
        "!!python/object/apply:os.system ['touch owned']",
        "!!python/name:os.system",
        "!!binary aGk=",
        "!!int 3",
        "!own {b: 1}",
        "!<tag:yaml.org,2002:str> x",
    ],
)
def test_no_tag_is_obeyed(tagged: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    found = faults(f"kit: 1\na: {tagged}\n")
    assert len(found) == 1
    assert found[0].startswith("f.yaml:2: a text that starts with an exclamation mark is a YAML tag")
    assert not list(tmp_path.iterdir())


@pytest.mark.usefixtures("parser")
def test_a_small_file_cannot_grow_through_references() -> None:
    rows = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    rows += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    found = faults("\n".join(rows))
    assert sum("YAML anchor" in line for line in found) == 12
    assert sum("YAML reference" in line for line in found) == 110
    assert len(found) == 122


@pytest.mark.usefixtures("parser")
@pytest.mark.parametrize("unit", ["[", "{a: ", "- ", "? ", "[{", "- ? "])
def test_deep_nesting_is_a_fault_and_not_a_crash(unit: str, monkeypatch: pytest.MonkeyPatch) -> None:
    parse, taken = yaml.parse, 0

    def counted(*told: Any, **named: Any) -> Iterator[Any]:
        nonlocal taken
        for event in parse(*told, **named):
            taken += 1
            yield event

    monkeypatch.setattr(yaml, "parse", counted)
    found = faults(unit * 100_000)
    assert len(found) == 1
    assert "nested more than" in found[0] or "bracket that is never closed" in found[0]
    assert taken <= 3 * MAX_DEPTH  # a level is an opening, and perhaps a key and the end of a mapping


@pytest.mark.usefixtures("parser")
def test_nesting_is_allowed_up_to_the_limit() -> None:
    deepest = "[" * MAX_DEPTH + "x" + "]" * MAX_DEPTH
    read_yaml(deepest.encode(), "f")
    assert faults(f"[{deepest}]") == [
        f"f.yaml:1: lists or mappings nested more than {MAX_DEPTH} deep; is a bracket missing?"
    ]


def test_a_file_is_refused_when_it_is_too_large() -> None:
    longest = b"a: " + b"x" * (MAX_BYTES - 3)
    read_yaml(longest, "f")
    assert faults(longest + b"x") == ["f.yaml: the file is larger than 2 MB; is it the right file?"]


@pytest.mark.parametrize("data", [b"", b"\n\n", b"# only a remark\n", b"---\n", b"\xef\xbb\xbf"])
def test_an_empty_file_is_called_empty(data: bytes) -> None:
    assert faults(data) == [
        "f.yaml: the file is empty; solderside help kit, or help procedure, has a complete example"
    ]


def test_a_byte_order_mark_of_utf_8_is_no_fault() -> None:
    assert plain(read_yaml("\ufeffa: µ\n".encode(), "f")) == {"a": "µ"}


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-32-le", "utf-32-be"])
def test_other_encodings_of_unicode_are_named(encoding: str) -> None:
    assert faults("kit: 1\nname: x\n".encode(encoding)) == [
        "f.yaml:1: the file is saved as UTF-16 or UTF-32; save it again as UTF-8"
    ]


def test_a_byte_that_is_not_utf_8_is_named_with_its_line() -> None:
    assert faults("kit: 1\nname: é\n".encode("cp1252")) == [
        "f.yaml:2: byte 0xe9 is not UTF-8; save the file again as UTF-8 and look at the signs in this line"
    ]


CONTROLS = [chr(n) for n in range(0xA0) if unicodedata.category(chr(n)) == "Cc"]
"""C0, DEL and C1, as the Unicode Character Database says (category Cc)."""


@pytest.mark.usefixtures("parser")
@pytest.mark.parametrize("sign", [sign for sign in CONTROLS if sign not in "\t\n\r"])
def test_control_characters_are_faults_with_their_line(sign: str) -> None:
    assert faults(f"a: 1\nb: x{sign}y\n") == [
        f"f.yaml:2: an invisible control character (U+{ord(sign):04X}); take it out"
    ]


@pytest.mark.usefixtures("parser")
@pytest.mark.parametrize("sign", [sign for sign in CONTROLS if sign not in "\t\n"])
def test_control_characters_do_not_come_in_through_an_escape(sign: str) -> None:
    assert faults(f'a: 1\nb: "x\\x{ord(sign):02x}y"\n') == [
        f"f.yaml:2: an invisible control character (U+{ord(sign):04X}); take it out"
    ]


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\ufffe", "\uffff"])
def test_line_separators_and_noncharacters_are_faults(sign: str) -> None:
    assert faults(f"a: 1\nb: x{sign}y\n") == [
        f"f.yaml:2: an invisible control character (U+{ord(sign):04X}); take it out"
    ]


@pytest.mark.usefixtures("parser")
@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("a: 1\nb: [1, 2\nc: 3\n", 2, "bracket"),
        ("a: 1\nb: 'x\nc: 3\n", 2, "quotation mark that is never closed"),
        ('a: 1\nb: "x\nc: 3\n', 2, "quotation mark that is never closed"),
        ("a: 1\nb: c: d\n", 2, "second colon"),
        ("a: 1\n b: 2\n", 2, "set in too far"),
        ("a: 1\nb: @x\n", 2, "may not start with this sign"),
        ("a: 1\nb: > 200 ohm\n", 2, "starts with > or |"),
        ("a:\n  - x\n y: 1\n", 3, "line up"),
        ('a: 1\nb: "C:\\q"\n', 2, "backslash"),
        ("a: 1\nb\nc: 3\n", 2, "neither `key: value` nor a list entry"),
        ("a: {b: 1,, c: 2}\n", 1, "comma"),
        ("a: *\n", 1, "starts with & or *"),
    ],
)
def test_a_slip_in_the_syntax_is_explained_in_plain_words(text: str, line: int, words: str) -> None:
    found = faults(text)
    assert len(found) == 1
    assert found[0].startswith(f"f.yaml:{line}: ")
    assert words in found[0]
    assert "; " in found[0]


def test_all_faults_are_found_in_one_reading_in_the_order_of_lines() -> None:
    found = faults("a: &x 1\nb: *x\na: !y 2\nc: {d: 1, d: 2}\n---\ne: 1\n")
    assert [line.split(": ")[0] for line in found] == [
        "f.yaml:1",
        "f.yaml:2",
        "f.yaml:3",
        "f.yaml:3",
        "f.yaml:4",
        "f.yaml:5",
    ]


def test_a_complaint_without_a_place_is_still_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    def complain(*_: object, **__: object) -> None:
        raise yaml.YAMLError("out of sorts")

    monkeypatch.setattr(yaml, "parse", complain)
    assert faults("a: 1") == [
        "f.yaml:1: this is not YAML (out of sorts); compare with the example in solderside help kit"
    ]


YAMLISH = st.lists(
    st.sampled_from(
        [*"ab:,-[]{}&*!|>'\"%@`#?~\\ \t\n", "a: ", "\n  ", "\n- ", "---\n", "...\n", "<<: ", "\r\n"]
    )
    | st.characters()
).map("".join)


def reading(data: bytes) -> Node | FileFaults:
    """The tree, or why there is none."""
    try:
        return read_yaml(data, "f.yaml")
    except FileFaults as error:
        return error


@given(st.binary() | YAMLISH.map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_any_bytes_are_read_or_refused_with_line_reason_and_hint(data: bytes) -> None:
    found = reading(data)
    rows = data.count(b"\n") + data.count(b"\r") + 2
    for fault in found.faults if isinstance(found, FileFaults) else ():
        name, _, line = fault.where.partition(":")
        assert name == "f.yaml"
        assert not line or 1 <= int(line) <= rows
        assert fault.what
        assert fault.hint
    assert isinstance(found, Text | Seq | Map) or found.faults


@given(YAMLISH)
def test_both_parsers_of_pyyaml_read_the_same_tree(text: str) -> None:
    data = text.encode("utf-8", "surrogatepass")
    trees = []
    for loader in (yaml.CSafeLoader, yaml.SafeLoader):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(yamltext, "_parser", lambda loader=loader: loader)
            try:
                trees.append(plain(read_yaml(data, "f")))
            except FileFaults:
                return  # they word their complaints, and draw some lines, differently
    assert trees[0] == trees[1]


def test_importing_it_does_not_import_yaml() -> None:
    code = "import sys, bench.kit.fields; print(sorted({'yaml', 'textual'} & set(sys.modules)))"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(SoldersideError) as caught:
        read_bytes(tmp_path / "none.yaml")
    assert (
        str(caught.value)
        == f"{tmp_path / 'none.yaml'}: there is no such file; check the spelling and the folder"
    )


def test_a_folder_is_not_a_file(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match="this is a folder"):
        read_bytes(tmp_path)


def test_a_pipe_is_refused_rather_than_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(FileFaults, match="a pipe or a device, not a file"):
        read_bytes(tmp_path / "pipe")


def test_a_name_no_disk_can_hold_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match="cannot be read"):
        read_bytes(tmp_path / ("x" * 5000))
    with pytest.raises(FileFaults):
        read_bytes(tmp_path / "a\x00b")


def test_a_file_that_may_not_be_read_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "kit.yaml"
    path.write_bytes(b"kit: 1")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(FileFaults, match=r"cannot be read \(Permission denied\); change its permissions"):
        read_bytes(path)


def test_no_more_of_a_file_is_read_than_can_be_used(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    with path.open("wb") as file:
        file.truncate(50 * MAX_BYTES)
    with pytest.raises(FileFaults, match=r"larger than any kit or procedure file \(over 2 MB\)"):
        read_bytes(path)
