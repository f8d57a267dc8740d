"""No text of kit, procedure or builder does anything in any output."""

from __future__ import annotations

import json

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.kit.kit import Kit
from bench.log import events as ev
from bench.plan.plan import Alike, Plan
from bench.writeup.compare_builds import together
from bench.writeup.markdown import set_in_markdown, write_up
from bench.writeup.page import html_page, html_together
from bench.writeup.publish import story_data
from bench.writeup.story import tell
from bench.writeup.story_model import Story
from bench.writeup.words import one_line
from tests.support.markdown_pages import leaves, parser
from tests.support.pages import assert_inert, body_text
from tests.support.story_bench import MAIN, Bench, part_step, plan_of, stage, task_step
from tests.writeup.test_page import JPEG, photo

ATTACKS = [
    "<script>alert(1)</script>",
    "](javascript:alert(1))",
    "[x](javascript:alert(1)) <javascript:alert(1)>",
    "--><script>x</script><!--",
    "</style><script>x</script>",
    "</title></head><body onload=x>",
    "</svg></desc><img src=x onerror=alert(1)>",
    '" onmouseover="alert(1)" x="',
    "' autofocus onfocus='x",
    "&lt;script&gt; &#60;script&#62;",
    "a\u202eb\u2066c\u200fd\u061c\ufeff",
    "\x00\x1b[31m\x07\x85",
    "{{ 7*7 }} {% include 'page.css' %} {# x #}",
    "<!-- your words: opening -->",
    "<![CDATA[ x ]]> <?xml x?> <!DOCTYPE x>",
    "\ud800 half",
    "data:text/html,<script>x</script>",
    "x" * 3_000,
]


def build_of(words: list[str]) -> tuple[Kit, Plan, Bench]:
    """A build in which every text is one of these, taken in turn."""
    turn = iter(words * 80)

    def word() -> str:
        return next(turn)

    board = msgspec.structs.replace(MAIN, name=word())
    kit = Kit(
        name=word(), maker=word(), revision=word(), about=word(), scenario=word(), errata=(word(), word()),
        boards=(board, msgspec.structs.replace(board, name=word())),
    )  # fmt: skip
    place = f"stage {word()}", board.name
    ref = f"R1{word()}"
    alike = Alike(value=f"b {word()}", refs=(f"R2{word()}",), kind=word(), reason=word(), rank=1)
    one = part_step(*place, "", f"a {word()}", word(), 2, items=(f"{board.name}/{ref}",), alike=(alike,))
    one = msgspec.structs.replace(one, refs=(ref,))
    other = part_step(*place, "", alike.value, alike.kind, 2, items=(f"{board.name}/{alike.refs[0]}",))
    other = msgspec.structs.replace(other, key="other", refs=alike.refs)
    check = task_step(f"hold {word()}", word(), "check", expect=word())
    trim = task_step(f"trim {word()}", word(), "adjust", expect=word())
    plan = plan_of(
        stage(*place, one, other), stage(check.stage, "", check, hold=True), stage(trim.stage, "", trim)
    )
    bench = Bench()
    bench.add(ev.BagCounted, 5, items=("x",), kind=word(), value=word(), refs=(word(),), found=0)
    bench.add(ev.PartMeasured, 5, items=("x",), value=word(), text=word(), said=word())
    bench.do(one)
    bench.do(other)
    for mark in ("note", "tip", "show"):
        bench.add(ev.Noted, 5, text=word(), mark=mark)
    bench.add(ev.Snagged, 5, what=word(), part=word(), fix=word(), minutes=2.0)
    bench.add(ev.Snagged, 5, what=f"wrong way round {word()}", part=word())
    bench.add(ev.Substituted, 5, part=word(), instead=word(), why=word())
    bench.add(ev.ErratumFound, 5, text=word())
    bench.add(ev.HeldBack, 5, items=("held",), value=word(), refs=(word(),), reason=word())
    bench.add(ev.JointsCounted, 5, counted=3, expected=2)
    bench.do(check)
    bench.add(ev.ReadingTaken, 5, point=word(), text=word(), expect=word())
    bench.add(ev.HoldOverridden, 5, hold=word(), reason=word())
    bench.add(ev.SuspicionSettled, 5, suspicion=word(), found=True, said=word(), symptom=word())
    bench.add(ev.SuspicionSettled, 5, suspicion=word(), found=False, said=word(), symptom=word())
    trim_name = word()
    for hertz in (200.0, 201.0):
        points = ((0.0, 100.0), (1.0, hertz))
        bench.add(ev.PassMeasured, 5, trim=trim_name, points=points, turned=((word(), 1.0),))
    return kit, plan, bench


def shown(text: str) -> str:
    """What a reader may see of a text."""
    return " ".join(one_line(text).split())


def assert_shown(page: str, story: Story) -> None:
    """The texts that must be told stand in the page as they were typed."""
    said = body_text(assert_inert(page))
    for text in (
        story.about, story.scenario, *story.kit_errata, *(row.text for row in story.notes),
        *(row.what for row in story.snags), *(row.part for row in story.snags),
        *(row.reason for row in story.passed), *(row.read for row in story.readings),
        *(row.text for row in story.errata), *(row.instead for row in story.substitutions),
        *(row.suspicion for row in story.suspicions), *(row.reason for row in story.alikes),
    ):  # fmt: skip
        assert shown(text).casefold() in said.casefold(), text


@pytest.mark.parametrize("attack", ATTACKS)
def test_no_attack_in_any_field_is_more_than_text(attack: str) -> None:
    kit, plan, bench = build_of([attack])
    story = tell(kit, plan, bench.events, now="2031-03-01T00:00:00.000Z", forecast={plan.stages[0].key: 3.0})
    story = msgspec.structs.replace(story, photos=(photo("a", attack, attack), photo("b", attack)))
    own = {"opening": attack, "time": f"- {attack}\n\n[{attack}](https://example.org)", attack: attack}
    assert_shown(html_page(story, own, {"a.jpg": JPEG}), story)
    assert_inert(html_together([(attack, story), ("b", story)], [(attack, [attack])]))
    assert_markdown_inert(write_up(story))
    assert_markdown_inert(set_in_markdown(together([(attack, story), ("b", story)], [(attack, [attack])])))
    assert json.loads(story_data(story))["title"]


def assert_markdown_inert(page: str) -> None:
    """No HTML but our comments, no link and no picture, as a CommonMark parser reads it."""
    tokens = list(leaves(parser().parse(page)))
    assert not {token.type for token in tokens} & {"link_open", "html_inline", "fence", "code_block"}
    assert {token.attrs["src"] for token in tokens if token.type == "image"} <= {"photos/a.jpg", "photos/b.jpg"}
    assert all("your words" in token.content for token in tokens if token.type == "html_block")
    assert page.count("<!-- your words: opening -->") <= 1


@given(st.lists(st.text(max_size=12) | st.sampled_from(ATTACKS[:-1]), min_size=7, max_size=31))
@settings(max_examples=25)
def test_no_text_in_any_field_breaks_the_page(words: list[str]) -> None:
    kit, plan, bench = build_of(words)
    story = tell(kit, plan, bench.events)
    assert_shown(html_page(story, dict(zip(("opening", "time", "closing"), words, strict=False))), story)
