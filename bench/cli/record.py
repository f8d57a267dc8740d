"""The sub-command about the builder."""

from __future__ import annotations

import argparse

from bench.cli.common import FINE, Add, data_of, print_json, refuse_idle, say, settings_of

_NAMES = 34


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    record = add_command(
        "record", _record, "Show your own record across all builds: speed, snags, forecasts.", "record --json"
    )
    record.add_argument("--json", action="store_true", help="print JSON")
    record.add_argument("--html", action="store_true", help="write a page with drawings")
    record.add_argument("--csv", action="store_true", help="write a table of everything for a spreadsheet")
    record.add_argument(
        "--out", metavar="FILE", help="where to write; - for the terminal (default: the data folder)"
    )
    record.add_argument("--force", action="store_true", help="replace a file that solderside did not write")


def _record(args: argparse.Namespace) -> int:
    from bench.estimate.history import know
    from bench.estimate.stats_text import record_lines

    if args.json + args.html + args.csv > 1:
        args.misuse("--json, --html and --csv: choose one")
    idle = {"--out": args.out is not None, "--force": args.force}
    refuse_idle(args, {} if args.html or args.csv else idle, "goes with --html or --csv")
    known = know(data_of(args), settings_of(args))
    record = known.record
    if args.html or args.csv:
        from bench.cli.group import write
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
