"""The sub-command about the builder."""

from __future__ import annotations

import argparse

from bench.cli.common import FINE, data_of, print_json, refuse_idle, say, settings_of, write

_NAMES = 34


def _record(args: argparse.Namespace) -> int:
    from bench.estimate.history import know
    from bench.estimate.stats_text import record_lines

    if args.json + args.html + args.csv > 1:
        args.misuse("--json, --html and --csv: choose one")
    refuse_idle(args, "goes with --html or --csv", "--out", "--force", when=not (args.html or args.csv))
    known = know(data_of(args), settings_of(args))
    record = known.record
    if args.html or args.csv:
        from bench.writeup.record_page import record_csv, record_page

        builds = known.builds
        text = record_csv(builds) if args.csv else record_page(builds, record, known.learned)
        return write(args, text, data_of(args), "record.csv" if args.csv else "record.html")
    if args.json:
        print_json(record)
        return FINE
    for text, _ in record_lines(record, _NAMES):
        say(text)
    return FINE
