"""From a build to its article on the disk: Markdown, HTML, data.

The one file that puts the story together with its photos and clips: those folders know the story's data, and it
does not know them.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, tzinfo
from pathlib import Path

import msgspec
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.estimate.history import expected
from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.fold import fold
from bench.log.progress import Progress, StageKey
from bench.plan.plan import Plan
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.together import read_units
from bench.settings import Settings, load_settings
from bench.writeup.compare_builds import Record, paces, sides_of, together
from bench.writeup.film.footage import clip_rows, footage_of
from bench.writeup.group_page import UnitDone, beside_words
from bench.writeup.keep_own_text import filled, objection, own_words, page_text, save
from bench.writeup.markdown import set_in_markdown, write_up
from bench.writeup.moments import Calendar
from bench.writeup.output_files import Saved, is_ours, put, read_plain, save_whole, target_of
from bench.writeup.photos.photo_map import photo_mark_rows, photo_rows
from bench.writeup.post import merged, post_of
from bench.writeup.post import objection as post_objection
from bench.writeup.story import tell
from bench.writeup.story_model import Story

NAMES = {"markdown": "article.md", "html": "article.html", "post": "article.post.md",
         "json": "article.json"}  # fmt: skip
"""Format -> name of its file beside the log."""
USUAL = ("markdown", "html")
"""What is written when nobody says otherwise."""
ENDINGS = {".md": "markdown", ".markdown": "markdown", ".html": "html", ".htm": "html", ".json": "json"}
"""What a file's name says about its format."""


class Outcome(Saved, frozen=True, kw_only=True):
    """What became of one file."""

    form: str
    """One of `NAMES`."""
    changed: bool = False
    """False when the file said all of this already, or could not be written."""
    problem: SoldersideError | None = None
    """Why it was not written; what stood there is untouched."""


def _outcome(form: str, saved: Saved, words: Mapping[str, str] | None = None) -> Outcome:
    carried = saved.own_words if words is None else filled(words)
    return Outcome(form=form, path=saved.path, changed=saved.changed, own_words=carried, kept_as=saved.kept_as)


def story_of(build: Build, forecast: Mapping[StageKey, float] | None = None) -> Story:
    """The story of a build as it stands, told in this machine's time zone.

    `forecast` is what was expected, in minutes by stage; left out, it comes from the builds begun before.
    """
    now, beside = SystemClock().now().at, ""
    data = build.log.folder.parent.parent
    try:
        if forecast is None:
            forecast = expected(build, data, load_settings(data)[0])
        if build.progress.beside is not None:
            beside = beside_words(_group(data, build, load_settings(data)[0]), build.unit)
    except SoldersideError:  # settings that cannot be read; whoever opens a build is told of that
        forecast = forecast or {}
    events, progress = build.writer.put_right()
    story = whole_story(build.kit, build.plan, events, progress, now=now, zone=None, forecast=forecast)
    return replace(story, beside=beside)


def _group(data: Path, build: Build, settings: Settings) -> list[UnitDone]:
    """The units of a build's group that can be read, itself among them."""
    return [
        UnitDone(name=unit.unit, plan=unit.plan, progress=unit.writer.put_right()[1])
        for _, unit in read_units(data, build, settings)
        if not isinstance(unit, SoldersideError)
    ]


def whole_story(
    kit: Kit,
    plan: Plan,
    events: Sequence[ev.AnyEvent],
    progress: Progress | None = None,
    *,
    now: str = "",
    zone: tzinfo | None = UTC,
    forecast: Mapping[StageKey, float] | None = None,
) -> Story:
    """The story with its photos and clips; pure. See `story.tell`."""
    progress = fold(events) if progress is None else progress
    calendar = Calendar(zone)
    filmed = footage_of(kit, plan, events, progress, zone).clips if progress.clips else ()
    return tell(
        kit,
        plan,
        events,
        progress,
        now=now,
        zone=zone,
        forecast=forecast,
        photos=photo_rows(events, progress, calendar),
        photo_marks=photo_mark_rows(events, progress, calendar),
        clips=clip_rows(filmed, calendar),
    )


def page_of(build: Build) -> str:
    """The article as Markdown; photos are those beside the log."""
    return write_up(story_of(build))


def article_in(folder: Path, form: str = "markdown") -> Path:
    """The file of this format in a folder; one that an earlier program wrote goes on under the name it has."""
    new, old = folder / NAMES[form], folder / NAMES[form].replace("article", "retrospective")
    return old if old.exists() and not new.exists() else new


def targets_of(build: Build, forms: Sequence[str] = USUAL, out: Path | None = None) -> dict[str, Path]:
    """Format -> file: beside the log, in the folder `out`, or named like the file `out`."""
    if out is None or out.is_dir():
        return {form: article_in(out or build.log.folder, form) for form in forms}
    return _named_like(out, forms)


def _named_like(out: Path, forms: Sequence[str]) -> dict[str, Path]:
    """One file is `out` itself; several are named like it, each with an ending of its own."""
    if len(forms) == 1:
        return {forms[0]: out}
    if out.suffix.lower() in ENDINGS:
        out = out.with_suffix("")
    return {form: out.with_name(out.name + NAMES[form].removeprefix("article")) for form in forms}


def publish(
    build: Build,
    targets: Mapping[str, Path],
    *,
    force: bool = False,
    say: Callable[[str], None] = lambda _: None,
) -> list[Outcome]:
    """Write the article to these files, Markdown first, since its words by hand go into the HTML too.

    One that cannot be written does not keep the others from being written. `say` hears what is under way.
    """
    say("telling the story")
    story = story_of(build)
    outcomes = []
    for form in sorted(targets, key=list(NAMES).index):
        path = targets[form]
        say(f"writing {path.name}")
        try:
            outcomes.append(_write(build, story, form, path, targets, force=force))
        except SoldersideError as error:
            outcomes.append(Outcome(form=form, path=path, problem=error))
    return outcomes


def theirs(build: Build, targets: Mapping[str, Path]) -> tuple[Path, ...]:
    """Which of these files were written or changed by hand, and are replaced only by force.

    Raises SoldersideError when one cannot be read.
    """
    found = []
    for form, path in targets.items():
        if form in ("markdown", "post"):
            raw = read_plain(path)
            why = (
                "" if raw is None else objection(raw) if form == "markdown" else post_objection(page_text(raw))
            )
            changed = bool(why)
        else:
            changed = not is_ours(path, build.log.folder)
        found += [path] if changed else []
    return tuple(found)


def html_of(build: Build, beside: Path | None = None) -> str:
    """The page as HTML, with the builder's own words from the Markdown file `beside`, or beside the log."""
    return _html(build, story_of(build), beside or article_in(build.log.folder))[0]


def story_data(story: Story) -> bytes:
    """The story as JSON, two spaces deep."""
    try:
        return msgspec.json.format(msgspec.json.encode(story), indent=2) + b"\n"
    except UnicodeEncodeError:  # half a surrogate pair in a text
        return json.dumps(msgspec.to_builtins(story), indent=2).encode() + b"\n"


def words_in(page: Path) -> dict[str, str]:
    """The builder's own words in a Markdown page; empty when there is no such file.

    Raises SoldersideError when the file cannot be read, or a place in it has no end.
    """
    raw = read_plain(page)
    return {} if raw is None else own_words(page_text(raw), str(page))


def _write(
    build: Build,
    story: Story,
    form: str,
    path: Path,
    targets: Mapping[str, Path],
    *,
    force: bool,
) -> Outcome:
    if form == "markdown":
        return _outcome(form, _save_markdown(build, story, path, force=force))
    if form == "post":
        return _save_post(build, story, path, targets, force=force)
    if form == "html":
        page, words = _html(build, story, _words_for(build, path, targets))
        data = page.encode()
    else:
        words, data = {}, story_data(story)
    return _outcome(form, save_whole(path, data, build.log.folder, force=force), words)


def _words_for(build: Build, page: Path, targets: Mapping[str, Path]) -> Path:
    """The Markdown file whose words belong to a page: the one written with it, of its name, or by the log."""
    twin = targets.get("markdown", page.with_suffix(".md"))
    return twin if twin.exists() else article_in(build.log.folder)


def _save_markdown(build: Build, story: Story, path: Path, *, force: bool) -> Saved:
    """A page elsewhere gets copies of its photos in a folder of its own: `built-photos` for `built.md`."""
    if not story.photos:
        return save(path, write_up(story), force=force)
    from bench.writeup.photos.copies import COPIES, copy_beside, need_copies
    from bench.writeup.photos.page_photos import chosen

    folder, shown = COPIES, chosen(build.log.folder, story)
    rows = [row for row in story.photos if row.file in shown]
    if path.absolute().parent != build.log.folder.absolute():
        folder = f"{path.stem}-{COPIES}"
        need_copies(build.log.folder, rows)
    written = save(path, write_up(story, folder, shown), force=force)
    if folder != COPIES:
        copy_beside(build.log.folder, rows, path.parent / folder)
    return written


def post_text(build: Build) -> str:
    """The post as it is written beside the log."""
    words = words_in(article_in(build.log.folder))
    return post_of(story_of(build), words)


def _save_post(build: Build, story: Story, path: Path, targets: Mapping[str, Path], *, force: bool) -> Outcome:
    """A post keeps the front matter that was edited; its photos lie beside it, as for Markdown."""
    beside = _words_for(build, path, targets)
    words = words_in(beside)
    folder, shown = "photos", None
    if story.photos:
        from bench.writeup.photos.copies import copy_beside
        from bench.writeup.photos.page_photos import chosen

        shown = chosen(build.log.folder, story)
        if path.absolute().parent != build.log.folder.absolute():
            folder = f"{path.name.partition('.')[0]}-photos"
            rows = [row for row in story.photos if row.file in shown]
            copy_beside(build.log.folder, rows, path.parent / folder)
    old = read_plain(target_of(path))
    why = "" if old is None else post_objection(page_text(old))
    if own := _own_pictures(words, beside):
        from bench.writeup.own_words import readdressed
        from bench.writeup.photos.copies import beside_page, write_beside

        pictures = beside_page(own, f"{path.name.partition('.')[0]}-photos")
        words = {place: readdressed(text, pictures) for place, text in words.items()}
    new = post_of(story, words, folder, shown)
    new = new if old is None or why else merged(new, page_text(old))
    saved = put(path, new.encode(), why, force=force)
    if own:
        write_beside({pictures[each]: data for each, data in own.items()}, path.parent)
    return _outcome("post", saved, words)


def _html(build: Build, story: Story, beside: Path) -> tuple[str, dict[str, str]]:
    """The page, and the builder's own words in it, which stand in the Markdown file `beside`."""
    from bench.writeup.page import html_page  # Jinja2 is loaded only for a page

    words = words_in(beside)
    own = _own_pictures(words, beside)
    if not story.photos:
        return html_page(story, words, own), words
    from bench.writeup.photos.page_photos import pictures_for_page

    pictures = pictures_for_page(build.log.folder, story, own)
    return html_page(story, words, pictures, pictures), words


def _own_pictures(words: Mapping[str, str], beside: Path) -> dict[str, bytes]:
    if not any("![" in text for text in words.values()):
        return {}
    from bench.writeup.photos.page_photos import own_pictures

    return own_pictures(words, beside.parent)


# -- several builds ----------------------------------------------------------------------------------
Told = Sequence[tuple[str, Story]]
"""Name and story of each build."""


def together_pages(told: Told, forms: Sequence[str], record: Record = ()) -> dict[str, bytes]:
    """Several builds side by side: format -> what its file says."""
    pages: dict[str, bytes] = {}
    for form in forms:
        if form == "html":
            from bench.writeup.page import html_together

            pages[form] = html_together(told, record).encode()
        elif form == "markdown":
            pages[form] = set_in_markdown(together(told, record)).encode()
        else:
            pages[form] = msgspec.json.format(msgspec.json.encode(together_data(told)), indent=2) + b"\n"
    return pages


def together_data(told: Told) -> dict[str, object]:
    """Several builds as data: their stories, and seconds for a part by stage, in the order of building."""
    sides = sides_of(told)
    return {
        "builds": [{"name": side.name, "story": side.story} for side in sides],
        "paces": [{"stage": pace.stage, "seconds": pace.seconds} for pace in paces(sides)],
    }


def publish_together(
    data: Path,
    told: Told,
    forms: Sequence[str],
    out: Path | None = None,
    record: Record = (),
    *,
    force: bool = False,
) -> list[Outcome]:
    """Write several builds side by side: in the folder `out`, as the file `out`, or in the data folder."""
    stem = "together-" + "-".join(name for name, _ in told)[:80].rstrip("-.")
    if out is None or out.is_dir():
        targets = {form: (out or data) / f"{stem}{Path(NAMES[form]).suffix}" for form in forms}
    else:
        targets = _named_like(out, forms)
    outcomes = []
    for form, page in together_pages(told, forms, record).items():
        path = targets[form]
        try:
            if form == "markdown":
                saved = save(path, page.decode(), force=force)
            else:
                saved = save_whole(path, page, data, force=force)
            outcomes.append(_outcome(form, saved))
        except SoldersideError as error:
            outcomes.append(Outcome(form=form, path=path, problem=error))
    return outcomes
