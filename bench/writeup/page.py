"""A story as one self-contained HTML page. Pure but for the templates it reads.

No script, no address but those of the builder's own links, no file beside it: style, drawings and pictures
stand in the page. Everything is filled in by Jinja2 with autoescaping; text is clean before it comes here.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING

from bench.writeup import words
from bench.writeup.article import article_of
from bench.writeup.blocks import Article, text_of
from bench.writeup.charts import Bars, build_bars, lanes_of, plot_of, time_bars
from bench.writeup.chronology import days_of
from bench.writeup.compare_builds import Record, sides_of, together
from bench.writeup.post import summary_of
from bench.writeup.story_model import Story
from bench.writeup.templating import render

if TYPE_CHECKING:
    from markupsafe import Markup


def html_page(
    story: Story,
    own_words: Mapping[str, str] | None = None,
    pictures: Mapping[str, bytes] | None = None,
    shown: Collection[str] | None = None,
) -> str:
    """The page, with the builder's own words (place -> Markdown) and photos (file -> JPEG) in their places.

    Among the photos are the pictures of own words, by their paths.

    `shown` as for `article_of`.
    """
    article = article_of(story, shown)
    addresses = {file: _address(data) for file, data in (pictures or {}).items()}
    own = {place: _own(text, addresses) for place, text in (own_words or {}).items() if text.strip()}
    tracks = [(words.one_line(row.trim), plot_of(row)) for row in story.tracking]
    return page(
        article,
        {"time": bars} if (bars := time_bars(story)) else {},
        own=own,
        homeless=[own[place] for place in article.homeless(own)],
        lanes=lanes_of(days_of(story)),
        plots=[(name, plot) for name, plot in tracks if plot is not None],
        pictures=addresses,
        description=summary_of(story),
    )


def page(article: Article, bars: Mapping[str, Bars], **more: object) -> str:
    """Any article as a page; `bars` stand in the sections of these places, `more` is what else it shows."""
    nothing: dict[str, object] = {
        "own": {},
        "homeless": [],
        "lanes": None,
        "plots": [],
        "pictures": {},
        "description": "",
    }
    return render("page.html", article=article, bars=bars, **(nothing | more))


def _own(text: str, addresses: Mapping[str, str]) -> Markup:
    from markupsafe import Markup

    from bench.writeup.own_words import as_html  # only where there are some

    return Markup(as_html(text, addresses))  # markdown-it-py escaped it


def html_together(stories: Sequence[tuple[str, Story]], record: Record = ()) -> str:
    """The page about several builds; see `compare_builds.together`."""
    article = together(stories, record)
    sides = [(side.name, side.story) for side in sides_of(stories)]
    said = " ".join(text_of(run) for block in article.opening for run in getattr(block, "words", ()))
    return page(article, {"side by side": bars} if (bars := build_bars(sides)) else {}, description=said)


def _address(jpeg: bytes) -> str:
    """A picture as an address that holds all of it."""
    return f"data:image/jpeg;base64,{b64encode(jpeg).decode()}"
