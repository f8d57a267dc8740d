"""The command line as a table: every sub-command with its arguments, in the order in which help lists them.

    command [module]: what it is about
    $ an example, without the program's name
      argument VALUE: what it means

What runs a command is the function `_COMMAND` of its module here, imported when it runs. Behind the name of an
argument stand what its value is called and, where there is any of it: `{one,of,these}`, `int` or `float`,
`...` (may be given again), `*`, `+` or `?` (so many values), `=` and the default. An option without a value is
a flag. What means the same everywhere is in `USUAL`; a line indented further goes on with the one before.
"""

from __future__ import annotations

import argparse
import re
from typing import Any, NamedTuple

USUAL = {
    "build": "build BUILD: the name of a build, or its kit",
    "--json": "--json: print JSON",
    "--force": "--force: replace a file that solderside did not write",
    "--procedure": "--procedure NAME: name of a procedure that comes with solderside, or a file",
    "--breaks": "--breaks: breaks are chapters too",
    "--plain": "--plain: plain lines, for a screen reader or a braille display",
}
"""What stands for an argument without a word on it."""
_TABLE = """
build [build]: Start a kit at the bench, or continue where you left off.
$ build first-evening-metronome
  kit KIT|BUILD: the name or file of a kit, or the name of a build
  --again: start a new build of a kit that you built before
  --go-on: continue the build of an earlier revision of this kit
  --unit NAME: which of several units of the kit: begin or continue the one of this name or number
  --plain
  --units N|NAMES: several units side by side: how many, or names such as left,right
  --procedure NAME: order of work for a new build: a name or a file
builds [builds]: List your builds: what is under way and what is done.
$ builds --json
  --json
  --names: print only their names, one per line
shortage [builds]: Write a message to the maker: what was missing from the bag.
$ shortage twin-board-oscillator-rev-b --out -
  build
  --out FILE: where to write; - for the terminal (default: beside the log)
  --force
help-request [builds]: Write a message that asks for help, with everything the log knows.
$ help-request twin-board-oscillator-rev-b --out -
  build
  --out FILE: where to write; - for the terminal (default: beside the log)
  --force
  --symptom TEXT =: what is wrong, in one sentence
rename [keeping]: Give a build a name or number among the units of its kit.
$ rename fog-filter-rev-a Anna
  build
  name NAME: what this unit is called on screen, paper and pages
archive [keeping]: Put a build away: last on the shelf, kept in your record.
$ archive fog-filter-rev-a
  build
delete [keeping]: Delete a build; solderside restore brings it back.
$ delete fog-filter-rev-a
  build
restore [keeping]: Bring back a build that was deleted or put away.
$ restore fog-filter-rev-a
  name NAME ?: which one; without it they are listed
export [keeping]: Write a build into one file, photos included.
$ export fog-filter-rev-a --out fog.zip
  build
  --out FILE =.: file or folder (default: this folder)
import [keeping]: Unpack a build that was exported on another computer.
$ import fog-filter-rev-a.solderside.zip
  file FILE: what solderside export wrote
find [find]: Search the logs of all builds: where did a part go in?
$ find TL074
  text TEXT +: words that an entry holds, all of them
  --build BUILD =: look in this build only
  --json
article [article]: Write the article of a build as Markdown and HTML; of several builds, one page side by
      side.
$ article twin-board-oscillator-rev-b --out blog/ --format markdown,html
  builds BUILD +: the name of a build, or its kit
  --format LIST: markdown, html, post (for a blog), json, separated by commas (default: markdown,html;
      of several builds: html)
  --html FILE ?: only the HTML page, here or beside the log
  --out FILE: a file (.md, .html, .json), a folder, or - for the terminal (default: beside the log)
  --force: replace a file changed by hand; a copy of it stays
  --json: print JSON instead
group [group]: Write one page about units built side by side: times, readings, snags, missing parts.
$ group prompt-desk-metronome-rev-a
  build BUILD: the name of one of the units
  --cost: also what the kits and the hours cost
  --out FILE: where to write; - for the terminal (default: beside the log of the first unit)
  --force
class [group]: Take the results of a class, a line for each builder, and write its page: what went wrong, how
      long.
$ class first-evening-metronome --result 'Anna; 12 30 - 45; 2: R4 bridged'
  kit KIT: the name or file of the kit
  --result LINE ...: a builder: name; minutes of each stage, - for none; stage, step or designator: what went
      wrong. Without it lines are read from what is piped in; a builder's later line replaces the earlier one
  --out FILE: where to write; - for the terminal (default: in `classes` in the data folder)
  --force
batch [batch]: Put several kits in order: which to build first and why, hours, and whether all fit the case.
$ batch fog-filter twin-vca --order needs --case "84 HP, 60 mm deep" --rail "+12 V=1.2 A"
  kit KIT|BUILD *: kits or builds (default: the batch on the shelf)
  --order HOW {easiest,shortest,needs}: easiest (single boards first), shortest (hours), needs (what others
      need for their tests first)
  --pin KIT=PLACE ...: put this kit in this place, counted from 1
  --case TEXT: room for modules: "84 HP, 3 U, 60 mm deep, 2 rows", or in mm
  --rail RAIL=MA ...: a rail of the supply with its rating: "+12 V=1200 mA"; once per rail
  --headroom PERCENT int: share of each rating to keep free (default: 20 %%)
  --procedure
  --shopping: print what to buy, as CSV: all parts of kits not begun, of the others what was missing
  --stock FILE: CSV of parts you have (value, kind, count): taken off the shopping list
  --json
record [record]: Show your own record across all builds: speed, snags, forecasts.
$ record --json
  --json
  --html: write a page with drawings
  --csv: write a table of everything for a spreadsheet
  --out FILE: where to write; - for the terminal (default: the data folder)
  --force
photos [photos]: Match a folder of photos to the stages of a build, by time; the originals are never changed.
$ photos twin-board-oscillator-rev-b ~/camera --clock IMG_0012.jpg=18:20:05
  build
  folder FOLDER ?: the photos (default: the folder used last)
  --clock PHOTO=TIME ...: what the bench clock shows in a photo of it, one for each camera:
      IMG_0012.jpg=18:20:05, or with its day 2031-02-03T18:20:05
  --zone ZONE: your time zone, such as +01:00 or Europe/Paris (default: this machine's)
  --without NAME ...: leave these photos out: IMG_0031.jpg, 'DSC*'
  --caption PHOTO=TEXT ...: a caption for a photo; empty removes it
  --look: only look: no copies, nothing recorded
  --json
clips [clips]: List the clips of a build; name all that lie in a folder; take one out.
$ clips twin-board-oscillator-rev-b --from card/DCIM
  build
  --from DIR: name the clips in this folder by the start and length that their files hold
  --forget NAME ...: take a clip out; the log keeps it
  --json
chapters [film]: Make video chapters from the log. Tell it about each clip once: its start, or where claps are
      seen.
$ chapters twin-board-oscillator-rev-b --clip one.mov --clap 1=12.48 --clap 2=30:04.2 --length 31:10
  build
  --clip NAME =: the clip these options are about; it is recorded with what they say
  --starts TIME =: its start by the camera's clock: 18:20:05, '2031-02-03 18:20:05', 18:20:05+01:00,
      17:20:05Z
  --clap N=TIME ...: clap N is at this time in the clip
  --shows CLOCK=TIME ...: the filmed bench clock shows CLOCK at this time in the clip
  --length TIME =: length of the clip: 25:10
  --timecode HH:MM:SS:FF =: what the camera counted at the first frame
  --cut LIST: a cut list (- for standard input): chapters of the finished film
  --moments: moments worth showing, and where to cut
  --format {text,vtt,csv,json} =text: what to print (default: text)
  --json
  --out FILE: where to write (default, and -: the terminal)
  --force
  --breaks
film [film]: Write a folder for the video: a proposed cut, chapters, captions, a description, timelines.
$ film twin-board-oscillator-rev-b --minutes 12
  build
  --minutes N float: how long the proposed film is to be (default: film_minutes)
  --camera NAME =: camera to show where several ran: close for close-1.mov
  --media DIR: the folder with the clips, for editing programs to find them
  --cut LIST: a cut list of your own, in place of a proposal
  --propose: propose a cut anew, though you changed the last one
  --breaks
  --out DIR: where to write (default: `film` beside the log)
  --force: replace files that solderside did not write
kits [kits]: List your own kits, then the examples, the easiest first.
$ kits
  --json
check [kits]: Check a kit file and list every fault and contradiction.
$ check fog-filter
  kit KIT +: names or files of kits
  --json
plan [kits]: Print the stages, steps, joints and cautions of a kit.
$ plan first-evening-metronome
  kit KIT|BUILD: the name or file of a kit, or the name of a build
  --procedure
  --units N int: also the time for so many units side by side
  --json
read [lists]: Read a maker's parts list: its parts, open questions, and what was skipped.
$ read parts.csv --kit my-kit.yaml
  list LIST: the maker's file: text, HTML, spreadsheet, PDF, board file, schematic ...; or the folder of all
  --kit OUT.yaml: write a kit file, with open questions as comments
  --name NAME =: name of the kit, where the list gives none
  --placement FILE: where parts sit: a placement file, board file or drawing (PDF)
  --board-size WxH =: width and height of the board in mm, to scale a drawing
  --against OTHER ... +: other papers of the same kit: each contradiction becomes an open question
  --json
  --column HEADING=ROLE ...: what a column contains: designators, values, counts, packages, notes, nothing ...
  --maker NAME =: use the column settings saved for this maker
  --remember: save the column settings for --maker (--kit does so too)
  --forget: delete the column settings saved for --maker
identify [parts]: Say what a part can be, from its colour bands, its marking, or a meter reading.
$ identify brown black black red brown --kit fog-filter
  text TEXT +: colours, a marking, a type or a reading, with the kind of part if you know it (103 trimmer);
      put -- before one that begins with a minus
  --kit KIT: a kit: say which of its parts it can be
  --json
pitch [measuring]: Measure the frequency of a steady tone, with its uncertainty.
$ pitch low-c.wav high-c.wav
  wav WAV +: recordings; - for standard input
  --json: print JSON, one line per file
track [measuring]: Say how far an oscillator is off, and what to turn.
$ track points.txt
  points POINTS: a file with lines of 'volts hertz'; - for standard input
  --hertz-per-volt: the frequency is proportional to the voltage
  --slope HERTZ float: hertz per volt wanted (default: the measured one)
  --json
sheet [sheets]: Write a page for the printer: HTML for A4; open it in a browser and print it.
$ sheet twin-board-oscillator --what labels --out labels.html
  named KIT|BUILD *: kits or builds; none for a procedure alone
  --what {stages,labels,procedure,help,shortage,class,all}: stages: to tick off with a pen (default); labels:
      for bags and strips, several kits together; procedure: the order of the work on one page; help: a
      message that asks for help; shortage: what is missing from the bag; class: the stages for each builder;
      all: everything
  --procedure
  --builders N|NAMES: with --what class: how many builders, or names such as Anna,Ben
  --paper {A4,letter}: what is in the printer (default: `paper`)
  --labels SHEET: adhesive sheet: a4-14, a4-21, a4-24, a4-40, a4-65, letter-10, letter-20, letter-30, or in
      mm: 'A4 3x8 70x37 left 0 top 0.5 gap 0x0' (default: `label_sheet`); none to cut them apart
  --first N int: first label of the sheet that is not used yet
  --out FILE: where to write; - for the terminal (default: beside the log of a build; for a kit, in `sheets`
      in the data folder)
  --force
completion [completion]: Print what your shell needs to complete command lines.
$ completion bash
  shell {bash,fish,zsh}: the shell to complete in
man [man]: Show the man page; through a pipe, print its source.
$ man
help [help]: Print the manual: its topics, one topic, or the help of a command.
$ help kit
  topic TOPIC ? {topics}: a topic or a command
"""


class Command(NamedTuple):
    """One sub-command, as the table has it."""

    module: str
    """In this folder."""
    about: str
    example: str
    arguments: tuple[str, ...]
    """A line each."""


def _read(table: str) -> dict[str, Command]:
    found = {}
    for entry in re.split(r"\n(?=\w)", re.sub(r"\n {6}", " ", table.strip())):
        head, example, *arguments = entry.split("\n")
        name, module, about = head.replace(" [", ":").replace("]: ", ":", 1).split(":", 2)
        found[name] = Command(module, about, example.removeprefix("$ "), tuple(map(str.strip, arguments)))
    return found


TABLE = _read(_TABLE)
"""Sub-command -> what belongs to it."""


def add_argument(parser: argparse.ArgumentParser, line: str, *, anywhere: bool = False) -> None:
    """Add what one line of the table, or a name in `USUAL`, says; `anywhere`: before the command as well."""
    spec, _, about = USUAL.get(line, line).partition(": ")
    name, *words = spec.split(" ")
    how: dict[str, Any] = {"help": about}
    for word in words:
        if word in ("*", "+", "?"):
            how |= {"nargs": word} | ({"const": True} if name.startswith("--") and word == "?" else {})
        elif word == "...":
            how |= {"action": "extend" if "+" in words else "append", "default": []}
        elif word in ("int", "float"):
            how["type"] = {"int": int, "float": float}[word]
        elif word.startswith("="):
            how["default"] = word[1:]
        elif word.startswith("{"):
            how["choices"] = _topics() if word == "{topics}" else tuple(word[1:-1].split(","))
        else:
            how["metavar"] = word
    if name.startswith("--") and not words:
        how["action"] = "store_true"
    if anywhere:
        how["default"] = argparse.SUPPRESS
    parser.add_argument(name, **how)


def _topics() -> tuple[str, ...]:
    """What `help` can be asked for: topics of the manual, and commands that are none."""
    from bench.cli.help import TOPICS

    return (*TOPICS, *(name for name in TABLE if name not in TOPICS and name != "help"))
