"""The sub-command that writes the article: one build, or several side by side."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.builds import build_of
from bench.cli.common import (
    FAULTY,
    FINE,
    aside,
    data_of,
    no_idle_force,
    print_faults,
    print_json,
    refuse_idle,
    say,
    settings_of,
)
from bench.files import make_folder

if TYPE_CHECKING:
    from bench.session.build import Build
    from bench.writeup.publish import Outcome
    from bench.writeup.story_model import Story

FORMS = ("markdown", "html", "post", "json")


def _forms(args: argparse.Namespace) -> tuple[str, ...]:
    """The formats of `--format`, each once."""
    wanted = tuple(dict.fromkeys(each.strip().lower() for each in args.format.split(",") if each.strip()))
    if not wanted or not set(wanted) <= set(FORMS):
        choose = f"choose from {', '.join(FORMS)}, separated by commas"
        args.misuse(f"argument --format: {args.format!r}: {choose}")
    return wanted


def _wanted(args: argparse.Namespace, usual: tuple[str, ...]) -> tuple[tuple[str, ...], str | None]:
    """Formats and where to: what is said, else what the file's name says, else `usual`.

    A name that ends in a slash is a folder, made if need be.
    """
    from bench.writeup.publish import ENDINGS

    if args.out and args.out.endswith(("/", os.sep)):
        make_folder(Path(args.out))
    form = args.format and _forms(args)
    if args.html is not None:
        named = "" if args.html is True else args.html
        if form or (named and args.out):
            args.misuse("--html FILE stands for --format html --out FILE; say it in one way")
        return ("html",), named or args.out
    if form:
        return form, args.out
    if args.out == "-":
        return usual[:1], args.out
    named = ENDINGS.get(Path(args.out).suffix.lower()) if args.out else None
    if named is None and args.out and not Path(args.out).is_dir():
        args.misuse("a file that ends in neither .md, .html nor .json needs --format; a folder ends in a slash")
    return ((named,) if named else usual), args.out


def _article(args: argparse.Namespace) -> int:
    from bench.writeup.publish import USUAL, publish, story_of, targets_of

    why = "cannot be combined with --json, which prints data; a file of them is --format json --out FILE"
    refuse_idle(args, why, "--format", "--html", "--out", "--force", when=args.json)
    no_idle_force(args)
    if len(args.builds) > 1:
        return _together(args)
    build = build_of(args, args.builds[0])
    if args.json:
        print_json(story_of(build))
        return FINE
    forms, out = _wanted(args, USUAL)
    if out == "-":
        return _to_terminal(args, build, forms)
    return _told(publish(build, targets_of(build, forms, Path(out) if out else None), force=args.force))


def _told(outcomes: Iterable[Outcome]) -> int:
    """Say what was written and what could not be; the exit code."""
    code = FINE
    for outcome in outcomes:
        if outcome.problem:
            print_faults(outcome.problem, "article")
            code = FAULTY
            continue
        say(str(outcome.path))
        if outcome.kept_as:
            aside(f"the old file is kept as {outcome.kept_as}")
    return code


def _to_terminal(args: argparse.Namespace, build: Build, forms: tuple[str, ...]) -> int:
    from bench.writeup.publish import html_of, page_of, post_text, story_of

    if len(forms) > 1:
        args.misuse("one format at a time goes to the terminal; name it with --format")
    if forms == ("json",):
        print_json(story_of(build))
    else:
        told = {"html": html_of, "post": post_text}.get(forms[0], page_of)(build)
        sys.stdout.write(told)
    return FINE


def _record_words(args: argparse.Namespace) -> list[tuple[str, list[str]]]:
    """What the builder's record says, for a page about several builds: each heading with its lines."""
    from bench.estimate.history import know
    from bench.estimate.stats_text import record_lines

    lines = record_lines(know(data_of(args), settings_of(args)).record)
    told: list[tuple[str, list[str]]] = []
    for text, look in lines:
        if look == "head":
            told.append((text, []))
        elif text.strip() and told:
            told[-1][1].append(" ".join(text.split()))
    return [(title, under) for title, under in told if under]


# -- several builds ----------------------------------------------------------------------------------
def _together(args: argparse.Namespace) -> int:
    from bench.writeup.publish import publish_together, story_of, together_data, together_pages

    record = _record_words(args)
    told: list[tuple[str, Story]] = []
    for name in dict.fromkeys(args.builds):
        build = build_of(args, name)
        told.append((build.name, story_of(build)))
    if args.json:
        print_json(together_data(told))
        return FINE
    forms, out = _wanted(args, ("html",))
    if "post" in forms:
        args.misuse("a post is of one build; several side by side are markdown, html or json")
    if out == "-":
        if len(forms) > 1:
            args.misuse("one format at a time goes to the terminal; name it with --format")
        sys.stdout.write(together_pages(told, forms, record)[forms[0]].decode())
        return FINE
    target = Path(out) if out else None
    return _told(publish_together(data_of(args), told, forms, target, force=args.force, record=record))
