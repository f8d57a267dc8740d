"""The film kit of a build: a folder with all that goes with its video."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.files import MEGABYTE, read_text_file
from bench.session.build import Build
from bench.session.folders import slug
from bench.settings import Settings
from bench.writeup.film.captions import Spoken, captions_in, spoken_of
from bench.writeup.film.chapter_files import csv_rows, plain_list, subrip_captions, webvtt_captions, webvtt_file
from bench.writeup.film.chapters import NONE, chapters_of, too_few
from bench.writeup.film.clip_names import file_parts
from bench.writeup.film.clips import Clip
from bench.writeup.film.cut_list import ClipPart, cut_text, film_of, on_frames, read_cut_list
from bench.writeup.film.description import description, too_long
from bench.writeup.film.edited import edited, true_rate
from bench.writeup.film.edl import edl_file
from bench.writeup.film.exchange import otio_file
from bench.writeup.film.footage import Footage
from bench.writeup.film.proposal import propose
from bench.writeup.film.publish import build_footage, rules_of
from bench.writeup.output_files import is_ours, own_folder, save_whole, target_of
from bench.writeup.words import clock_text, counted, join

_Texts = dict[str, Callable[[], str]]
"""Name of a file below the folder -> what makes it."""
FOLDER_NAME = "film"
CLIPS = "clips"
CUT_NAME = "cut-list.txt"
_HEAD = (
    "Clip, in, out, speed. Change this list and run `solderside film` again: all else here follows it.",
    "--propose replaces it by a new proposal; a list that you changed is then kept beside it.",
)


class FilmKit(Struct, frozen=True, kw_only=True):
    """What became of a film kit."""

    folder: Path
    files: tuple[str, ...]
    """Written, or there already; below `folder`."""
    remarks: tuple[str, ...] = ()
    problems: tuple[SoldersideError, ...] = ()
    """Files that could not be made or written; the others were."""


class Wanted(Struct, frozen=True, kw_only=True):
    """What the builder asked for."""

    out: Path | None = None
    """A folder; beside the log when None."""
    cut: Path | None = None
    """A cut list; the one in the folder when None and the builder changed it, else one is proposed."""
    minutes: float = 0.0
    """How long a proposed film is to be; 0 for what the settings say."""
    camera: str = ""
    """The camera to show where several ran; the one named first when empty."""
    breaks: bool = False
    propose: bool = False
    """Propose anew, though the builder changed the list in the folder."""
    force: bool = False
    media: Path | None = None
    """The folder that the clips are in; None for the one that the timeline is in."""


def publish_film(build: Build, settings: Settings, wanted: Wanted) -> FilmKit:
    """Write all that goes with the build's video: chapters, captions, description, cut list, timelines.

    Raises SoldersideError when the folder cannot be made or a cut list cannot be read.
    """
    footage = build_footage(build, rules_of(settings, breaks=wanted.breaks))
    folder = wanted.out or build.log.folder / FOLDER_NAME
    make = partial(own_folder, follow=wanted.out is not None)
    make(folder)
    clips = {each.clip.name: each.clip for each in footage.clips}
    placed = [clip for clip in clips.values() if clip.map is not None and clip.length > 0]
    remarks = [f"{clip.name}: {' '.join(clip.doubts)}" for clip in clips.values() if clip not in placed]
    cut = _cut(build, footage, clips, settings, wanted, folder / CUT_NAME) if placed else None
    texts: _Texts = {}
    spoken = spoken_of(
        build.kit, build.plan, footage.events, build.progress, footage.timeline, footage.stretches
    )
    if cut and cut.parts:
        texts, said = _film_texts(build, footage, clips, cut, settings, wanted.media, spoken)
        remarks += [*said, *_not_there(placed, wanted.media)]
    else:
        names = join([clip.name for clip in placed])
        remarks.append(
            f"{names}: none of the work was filmed, so there is no cut. Check when it was filmed."
            if placed
            else "No clip has been named yet, so there is a description alone. Name one: solderside chapters"
        )
        texts["description.txt"] = lambda: description(build.kit, build.plan, build.progress, ())
    if placed:
        make(folder / CLIPS)
        texts |= _clip_texts(footage, placed, spoken)
    return _written(build, folder, texts, remarks, force=wanted.force or wanted.propose)


def _not_there(clips: Sequence[Clip], media: Path | None) -> list[str]:
    """Which clips are not in the folder that was said to hold them."""
    gone = [clip.name for clip in clips if media and not media.joinpath(*file_parts(clip.name)).is_file()]
    return [f"Not in {media}: {join(gone)}. Editing programs will ask where."] if gone else []


def written_lines(made: FilmKit) -> tuple[str, ...]:
    """What was written where, and what there is to say of it, a sentence each."""
    return (
        f"{counted(len(made.files), 'file')} written: {made.folder}",
        *(f"NOT WRITTEN: {problem}" for problem in made.problems),
        *made.remarks,
    )


class _Cut(NamedTuple):
    """Which cut list is followed."""

    parts: tuple[ClipPart, ...]
    remarks: tuple[str, ...]
    why: tuple[str, ...] | None = None
    """For each part, what is to be seen; None where the list is the builder's own."""


def _cut(
    build: Build, footage: Footage, clips: Mapping[str, Clip], settings: Settings, wanted: Wanted, kept: Path
) -> _Cut:
    """The builder's own cut list (named, or changed in the folder), else a proposal."""
    rate = true_rate(settings.film_frames)
    own = wanted.cut
    if own is None and not wanted.propose and not is_ours(kept, build.log.folder):
        own = target_of(kept)
    if own is not None:
        parts = read_cut_list(read_text_file(own, MEGABYTE, "cut list"), str(own), clips)
        changed = ", which you changed; --propose makes a new one" if wanted.cut is None else ""
        return _Cut(on_frames(parts, rate), (f"Cut by {own.name}{changed}.",))
    target = (wanted.minutes or settings.film_minutes) * 60
    proposal = propose(list(clips.values()), footage.marks, footage.stretches, target, wanted.camera)
    return _Cut(on_frames(proposal.parts, rate), proposal.remarks, proposal.why)


def _film_texts(
    build: Build,
    footage: Footage,
    clips: Mapping[str, Clip],
    cut: _Cut,
    settings: Settings,
    media: Path | None,
    spoken: Spoken,
) -> tuple[_Texts, list[str]]:
    """The files about the film, and what there is to say of it."""
    rules, parts = footage.rules, cut.parts
    film = film_of(parts, clips, footage.marks, rules)
    chapters = film.chapters.chapters
    every = film_of(parts, clips, footage.marks, replace(NONE, breaks=rules.breaks)).chapters.chapters
    captions = captions_in(spoken, parts, clips)
    whole = edited(build.kit.title, parts, clips, footage.marks, true_rate(settings.film_frames))
    about = description(build.kit, build.plan, build.progress, chapters)
    merged = counted(len(every) - len(chapters), "chapter")
    remarks = [
        *cut.remarks,
        *whole.remarks,
        f"The film: {clock_text(film.length)}, {counted(len(parts), 'cut')}, "
        f"{counted(len(chapters), 'chapter')}, {counted(len(captions), 'caption')}.",
        f"{merged} shorter than {rules.shortest:g} s merged into the one before, but for WebVTT."
        if len(every) > len(chapters)
        else "",
        too_few(chapters, rules),
        too_long(about),
    ]
    texts: _Texts = {}
    if (why := cut.why) is not None:
        texts[CUT_NAME] = lambda: cut_text(parts, (*_HEAD, *cut.remarks), why)
    texts |= {
        "chapters.txt": lambda: plain_list(chapters),
        "chapters.vtt": lambda: webvtt_file(every),
        "captions.vtt": lambda: webvtt_captions(captions),
        "captions.srt": lambda: subrip_captions(captions),
        "description.txt": lambda: about,
        "timeline.edl": lambda: edl_file(whole),
        "timeline.otio": lambda: otio_file(whole, media.absolute().as_uri() if media else ""),
    }
    return texts, remarks


def _clip_texts(footage: Footage, placed: Sequence[Clip], spoken: Spoken) -> _Texts:
    """Chapters and captions of each clip by itself, and tables of all."""
    told = [each for each in footage.clips if each.clip in placed]
    texts: _Texts = {
        "chapters.csv": lambda: csv_rows((each.clip.name, each.chapters.chapters) for each in told),
        "worth-showing.csv": lambda: csv_rows((each.clip.name, each.moments) for each in told),
    }
    for each in told:
        clip, name = each.clip, _free(f"{CLIPS}/{slug(each.clip.name)}", texts)
        every = chapters_of(clip, footage.marks, replace(NONE, breaks=footage.rules.breaks)).chapters
        whole = [ClipPart(clip=clip.name, start=0.0, end=clip.length)]
        captions = captions_in(spoken, whole, {clip.name: clip})
        texts |= {
            f"{name}.chapters.txt": partial(plain_list, each.chapters.chapters),
            f"{name}.chapters.vtt": partial(webvtt_file, every),
            f"{name}.captions.vtt": partial(webvtt_captions, captions),
            f"{name}.captions.srt": partial(subrip_captions, captions),
        }
    return texts


def _free(name: str, taken: Mapping[str, object]) -> str:
    """A name for a clip's files that no other clip has."""
    names = (name, *(f"{name}-{number}" for number in range(2, len(taken) + 3)))
    return next(each for each in names if f"{each}.chapters.txt" not in taken)


def _written(build: Build, folder: Path, texts: _Texts, remarks: Sequence[str], *, force: bool) -> FilmKit:
    files: list[str] = []
    problems: list[SoldersideError] = []
    said = list(remarks)
    for name, make in texts.items():
        try:
            saved = save_whole(folder / name, make().encode("utf-8", "replace"), build.log.folder, force=force)
        except SoldersideError as error:
            if isinstance(error.__cause__, ImportError):
                said.append(f"No {name}: {error.what}; {error.hint}.")
            else:
                problems.append(error)
            continue
        files.append(name)
        if saved.kept_as:
            said.append(f"The old file is kept as {saved.kept_as}.")
    return FilmKit(
        folder=folder, files=tuple(files), remarks=tuple(filter(None, said)), problems=tuple(problems)
    )
