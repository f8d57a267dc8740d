"""What a builder types at the trims: passes, recordings, turns; and readings against a target.

The cent is 1/1200 of an octave; the tones have an exactly known frequency by construction.
"""

from __future__ import annotations

import contextlib
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.kit.kit import Trim
from bench.session.adjusting import adjust_view, judge_reading
from bench.session.typed_pass import read_turns, read_typed
from tests.support.tones import RATE, signal, write_wav
from tests.support.trim_bench import KIT


# -- typed -------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    "text",
    [
        "0 261.6, 1 523.2, 2 1046.5",
        "0 261.6; 1 523.2; 2 1046.5",
        "0 261,6; 1 523,2; 2 1046,5",
        "0 V 261.6 Hz,  1V: 523.2, 2=1.0465 kHz,",
    ],
)
def test_a_pass_is_typed_in_one_line(text: str) -> None:
    points = read_typed(text, Path()).points
    assert [point.volts for point in points] == [0, 1, 2]
    assert [point.hertz for point in points] == pytest.approx([261.6, 523.2, 1046.5])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "nothing was typed"),
        ("0 261.6,1 523.2", "'0 261.6,1 523.2' is not a point"),
        ("0 261.6, one 523", "'one 523' is not a point"),
        ("0 261.6, 1 -5", "-5 is not a frequency"),
        ("# 5", "'# 5' is not a point"),
        ("1,5,100", "can be read in two ways"),
        (", ".join(f"{volts} 100" for volts in range(13)), "13 points"),
        ("1 nowhere.wav", "no such file"),
        ("1 '~nobody-of-that-name/x.wav'", "no such"),
    ],
)
def test_a_line_that_is_no_pass_says_which_piece_is_wrong(text: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(SoldersideError, match="(?s)" + said) as caught:
        read_typed(text, tmp_path)
    assert caught.value.hint


def test_a_recording_stands_for_its_pitch(tmp_path: Path) -> None:
    tone = signal("saw", 523.25)
    write_wav(tmp_path / "one, two.wav", [round(20000 * sample) for sample in tone.samples], RATE)
    write_wav(tmp_path / "still.wav", [0] * RATE, RATE)
    points = read_typed('0 261.6, 1 V "one, two.wav"', tmp_path).points
    assert points[1].volts == 1
    assert abs(1200 * math.log2(points[1].hertz / tone.hertz)) < 0.05
    with pytest.raises(SoldersideError, match=r"no steady tone in still\.wav: silence"):
        read_typed("0 still.wav", tmp_path)


@pytest.mark.parametrize(
    ("text", "turns"),
    [("+2", 2), ("−1,5 turns", -1.5), ("1 1/2 cw", 1.5), ("90°", 0.25), ("180 deg ccw", -0.5), ("none", 0)],
)
def test_turns_are_read_as_people_write_them(text: str, turns: float) -> None:
    assert read_turns(text) == turns


@pytest.mark.parametrize("text", ["much", "1/0", "-2 ccw", "9999", "2 left", "--1"])
def test_what_is_no_number_of_turns_is_refused(text: str) -> None:
    with pytest.raises(SoldersideError) as caught:
        read_turns(text)
    assert caught.value.hint


@given(st.text(max_size=40) | st.from_regex(r"[0-9 .,;:VHzk'\"/#°-]{1,40}", fullmatch=True))
def test_any_typed_text_is_read_or_refused_in_plain_words(text: str) -> None:
    for read in (lambda: read_typed(text, Path("/nowhere")), lambda: read_turns(text)):
        with contextlib.suppress(SoldersideError):
            read()


# -- readings ----------------------------------------------------------------------------------------
REFERENCE = KIT.trims[2]


def headline(*texts: str) -> str:
    return adjust_view(REFERENCE, texts, {}).headline


def test_a_target_with_a_tolerance_is_judged_as_at_a_hold_point() -> None:
    view = adjust_view(REFERENCE, ["4.6", "5.0004"], {})
    assert [judged.answer for judged in view.readings] == ["out", "too close to call"]
    assert "closer together than this meter can tell" in " ".join(view.readings[1].notes)
    assert "towards the middle. RV3 anticlockwise." in view.headline


def test_two_readings_say_whether_the_turn_was_the_right_way() -> None:
    assert (
        headline("4.6") == "Outside the target. Turn about 2 turns and read again. RV3 clockwise. Stop at 5 V."
    )
    # 0.2 V came of one turn and 0.2 V are left: as far again; of 0.7 V past by 0.3 V, two fifths back.
    assert headline("4.6", "4.8") == (
        "Outside the target. It comes closer: go on the same way, about that turn. RV3 clockwise. Stop at 5 V."
    )
    assert "wrong way: turn back about twice that turn" in headline("4.8", "4.6")
    assert "went past: turn back about half of that turn. RV3 anticlockwise." in headline("4.6", "5.3")
    assert "did not move" in headline("4.6", "4.60")


@pytest.mark.parametrize(
    ("read", "notes"),
    [
        ("3.2 mV", []),
        ("25 mV", []),
        ("-12 mV", ["wrong sign"]),
        ("12 V", ["look for an m, k or M"]),
    ],
)
def test_what_is_still_to_be_set_is_no_fault(read: str, notes: list[str]) -> None:
    trim = Trim(name="Bias", target="12 mV ± 1 mV", trimmer="RV1", turns=1)
    said = judge_reading(trim, read, {}).notes
    assert len(said) == len(notes)
    assert all(words in note for words, note in zip(notes, said, strict=True))


def test_a_meter_that_is_fine_enough_settles_it() -> None:
    fine = {"volts": [{"full_scale": "6 V", "resolution": "0.0001 V", "percent": 0.01, "counts": 1}]}
    view = adjust_view(REFERENCE, ["4.9", "5.0012"], fine)
    assert view.done
    assert view.headline == "Within the target: leave it."


@pytest.mark.parametrize(
    ("read", "answer", "cents"),
    [("523.0", "in", -0.99), ("261.9", "in", 1.98), ("131.2", "out", 5.29), ("0.2616 kHz", "in", 0.0)],
)
def test_a_target_of_pitches_is_judged_in_cents_from_the_nearest(read: str, answer: str, cents: float) -> None:
    trim = Trim(name="Octaves", target="261.6 Hz in the middle, 523.3 Hz up, 130.8 Hz down, each to 2 cents")
    judged = judge_reading(trim, read, {})
    assert judged.answer == answer
    assert judged.distance == pytest.approx(cents, abs=0.01)


def test_a_target_of_several_pitches_is_met_when_each_was_read() -> None:
    trim = Trim(name="Octaves", target="261.6 Hz in the middle, 523.3 Hz up, 130.8 Hz down, each to 2 cents")
    first = adjust_view(trim, ["261.6"], {})
    assert not first.done
    assert first.headline == "Within the target here. Still to be read: 523.3 Hz, 130.8 Hz."
    assert adjust_view(trim, ["261.6", "523.3", "130.8"], {}).done
    spoilt = adjust_view(trim, ["261.6", "530", "130.8"], {})
    assert "Still to be read: 523.3 Hz." in spoilt.headline


def test_a_trim_that_does_not_get_there_is_suspected() -> None:
    assert "nothing moved: suspect the trimmer's joints" in headline("4.6", "4.6", "4.601")
    assert "suspect a trimmer at its end" in headline("4.6", "4.65", "4.68", "4.7", "4.715", "4.725")
    assert "suspect" not in headline("4.6", "4.8", "4.9")


def test_readings_of_two_pitches_are_not_compared() -> None:
    trim = Trim(name="Octaves", target="261.6 Hz in the middle, 523.3 Hz up")
    assert "read again" in adjust_view(trim, ["265", "530"], {}).headline


def test_a_target_for_the_ear_is_left_to_it() -> None:
    view = adjust_view(KIT.trims[3], ["soft enough"], {})
    assert view.readings[0].answer == ""
    assert "eye and ear" in view.headline
    assert not view.done


@pytest.mark.parametrize("text", ["?", "OL", "-3", ""])
def test_a_reading_that_is_no_pitch_is_refused(text: str) -> None:
    with pytest.raises(SoldersideError):
        judge_reading(Trim(name="Tune", target="261.6 Hz at 0 V"), text, {})
