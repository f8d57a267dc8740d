"""An article as a clean copy for a blog engine: front matter, then Markdown without marks. Pure.

The front matter is YAML; its texts stand in double quotes as JSON writes them, which YAML 1.2 reads as they are
(its specification, chapter 1: "every JSON file is also a valid YAML file"). Its last key says what was written,
so that a front matter edited by hand is kept and a text edited by hand is not overwritten.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Collection, Mapping

from bench.writeup import words
from bench.writeup.article import article_of
from bench.writeup.markdown import set_as_text
from bench.writeup.story_model import Story
from bench.writeup.summary import title_of

SUMMARY_LENGTH = 160
"""Characters of the summary that feeds and searches show."""
_FRONT = re.compile(r"---\n(.*?\n)made: \"(\w{12}) (\w{12})\"\n---\n", re.DOTALL)


def post_of(
    story: Story,
    own_words: Mapping[str, str] | None = None,
    photo_folder: str = "photos",
    shown: Collection[str] | None = None,
) -> str:
    """The post with its front matter; own words (place -> Markdown) stand in their places, as typed."""
    article = article_of(story, shown)
    text = set_as_text(article, own_words or {}, photo_folder)
    return _with_front(_front(story, article.title), text)


def summary_of(story: Story) -> str:
    """What it is, and the builder's verdict, in at most `SUMMARY_LENGTH` characters; never empty.

    Whole sentences, but where not even the first one fits.
    """
    about, verdict = (words.one_line(text) for text in (story.about, story.afterwords.get("verdict", "")))
    told = [*re.split(r"(?<=[.!?]) ", about), *re.split(r"(?<=[.!?]) ", verdict)]
    said = ""
    for sentence in map(words.sentence, filter(None, told)):
        if len(said) + len(sentence) >= SUMMARY_LENGTH:
            room = sentence[: SUMMARY_LENGTH - 1]
            return said or f"{(room.rpartition(' ')[0] or room).rstrip(' ,;:')}…"
        said = f"{said} {words.capital(sentence)}".strip()
    return said or f"{title_of(story)[: SUMMARY_LENGTH - 1]}."


def objection(old: str) -> str:
    """Why a post may not simply be written anew; empty when it may."""
    front = _FRONT.match(old)
    if front is None:
        return "there is a file that solderside did not write"
    if _sum(old[front.end() :]) != front[3]:
        return "the text of the post was changed by hand"
    return ""


def merged(new: str, old: str) -> str:
    """The new post with the front matter of the old one where that was edited."""
    before, now = _FRONT.match(old), _FRONT.match(new)
    if before is None or now is None or _sum(before[1]) == before[2]:
        return new
    text = new[now.end() :]
    return f'---\n{before[1]}made: "{before[2]} {_sum(text)}"\n---\n{text}'


def _front(story: Story, title: str) -> str:
    day = story.last.day if story.last else ""
    tags = ["electronics kit", *filter(None, (words.one_line(story.name), words.one_line(story.maker)))]
    lines = [f"title: {_quoted(title)}", *([f"date: {day}"] if day else [])]
    lines += [f"tags: [{', '.join(map(_quoted, tags))}]", f"summary: {_quoted(summary_of(story))}"]
    return "\n".join(lines) + "\n"


def _with_front(front: str, text: str) -> str:
    return f'---\n{front}made: "{_sum(front)} {_sum(text)}"\n---\n{text}'


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _sum(text: str) -> str:
    kept = [line.strip() for line in text.split("\n") if line.strip()]
    return hashlib.sha256("\n".join(kept).encode("utf-8", "replace")).hexdigest()[:12]
