"""The clean copy for a blog engine: front matter kept when edited, no marks, nothing left to fill in."""

from __future__ import annotations

import re
from pathlib import Path

import msgspec
import pytest
import yaml
from markdown_it import MarkdownIt

from bench.log import events as ev
from bench.session.build import Build
from bench.writeup.page import html_page
from bench.writeup.post import SUMMARY_LENGTH, merged, objection, post_of, summary_of
from bench.writeup.publish import publish, targets_of
from bench.writeup.story import tell
from tests.support.markdown_pages import assert_harmless, leaves
from tests.support.story_bench import DIODES, KIT, PLAN, Bench, story_of, whole_build
from tests.writeup.test_page_inert import ATTACKS, build_of

STORY = tell(KIT, PLAN, whole_build())


def front(post: str) -> dict[str, object]:
    made = yaml.safe_load(post.split("---\n")[1])
    assert isinstance(made, dict)
    return made


def test_the_front_matter_says_title_date_tags_and_summary() -> None:
    said = front(post_of(STORY))
    assert said["title"] == "Building the Twin-board oscillator"
    assert str(said["date"]) == "2031-02-08"
    assert said["tags"] == ["electronics kit", "Twin-board oscillator", "Lantern Yard Workshop"]
    assert 40 < len(str(said["summary"])) <= SUMMARY_LENGTH


def test_the_text_holds_no_marks_no_places_and_tables_of_pipes() -> None:
    post = post_of(STORY, {"opening": "For ![the van](van.jpg).\n\n| a |\n| --- |\n| b |"})
    assert "<!--" not in post
    assert "Still to be told" not in post
    assert "| --- |" in post
    assert "For ![the van](van.jpg)." in post
    assert "\n# " not in post


def test_an_edited_front_matter_is_kept_and_an_edited_text_is_not_overwritten() -> None:
    old = post_of(STORY)
    edited = old.replace('title: "Building the Twin-board oscillator"', 'title: "My best one"\nslug: best')
    new = post_of(msgspec.structs.replace(STORY, about="Another about."))
    again = merged(new, edited)
    assert objection(edited) == objection(again) == ""
    assert front(again)["title"] == "My best one"
    assert front(again)["slug"] == "best"
    assert "Another about." in again
    assert merged(new, old) == new
    assert objection(old.replace("## The story", "## My story")) == "the text of the post was changed by hand"
    assert objection("# mine\n") == "there is a file that solderside did not write"


def test_on_the_disk_it_is_written_kept_and_refused(build: Build, tmp_path: Path) -> None:
    build.done()
    path = tmp_path / "blog.post.md"
    (first,) = publish(build, targets_of(build, ("post",), path))
    assert first.changed
    (same,) = publish(build, {"post": path})
    assert not same.changed
    path.write_text(
        path.read_text(encoding="utf-8").replace("title: ", "draft: true\ntitle: "), encoding="utf-8"
    )
    publish(build, {"post": path})
    assert front(path.read_text(encoding="utf-8"))["draft"] is True
    path.write_text(path.read_text(encoding="utf-8") + "more\n", encoding="utf-8")
    (refused,) = publish(build, {"post": path})
    assert refused.problem is not None
    (forced,) = publish(build, {"post": path}, force=True)
    assert forced.kept_as is not None


@pytest.mark.parametrize("attack", [*ATTACKS, '"\n---\nevil: 1', "\u2028---", "\\", "é😀"])
def test_hostile_texts_are_inert_in_front_matter_and_text(attack: str) -> None:
    kit, plan, bench = build_of([attack])
    story = tell(kit, plan, bench.events)
    post = post_of(story)
    assert set(front(post)) <= {"title", "date", "tags", "summary", "made"}
    assert_harmless("# Building x\n\n" + post.split("---\n", 2)[2])


@pytest.mark.parametrize(
    ("typed", "markdown", "linked"),
    [
        ("see https://a.example/x?y=1, or the maker", "see <https://a.example/x?y=1> or the maker", 1),
        ("http://a.example https://b.example.", "<http://a.example> <https://b.example>", 2),
        ("javascript:alert(1)", "", 0),
        ("https://a.example/><script>x</script>", "", 0),
        ("https://a.example/'onclick='x", "", 0),
    ],
)
def test_only_addresses_on_the_web_become_links(typed: str, markdown: str, linked: int) -> None:
    bench = Bench()
    bench.do(DIODES)
    bench.add(ev.Noted, text=typed, mark="links")
    story = story_of(bench)
    post, page = post_of(story), html_page(story)
    assert f"**Links:** {markdown}" in post
    tokens = MarkdownIt("commonmark").parse(post.split("---\n", 2)[2])
    followed = [leaf.attrs["href"] for leaf in leaves(tokens) if leaf.type == "link_open"]
    assert followed == re.findall(r'<a href="(https?:[^"]*)" rel="noopener noreferrer">', page)
    assert len(followed) == linked
    assert not re.search(r"<script|onclick='", page)


def test_a_summary_is_never_empty_nor_too_long() -> None:
    assert summary_of(tell(KIT, PLAN, [])) != ""
    long = msgspec.structs.replace(STORY, title="x " * 200, about="y " * 500)
    assert len(summary_of(long)) <= SUMMARY_LENGTH
    bench = Bench()
    bench.add(ev.Noted, 5, text="x")
    assert "Two triangle-core oscillators" in summary_of(tell(KIT, PLAN, bench.events))
