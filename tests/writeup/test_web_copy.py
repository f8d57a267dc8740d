"""Copies of photos for the web: small, upright, and with nothing in them but the picture."""

from __future__ import annotations

import contextlib
import io
import sys
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageOps, PngImagePlugin, features

from bench.errors import SoldersideError
from bench.writeup.photos import web_copy as webcopy
from bench.writeup.photos.web_copy import LONG_SIDE, web_copy
from tests.support.photographs import EXIF_IFD, GPS_IFD, ORIENTATION, photo, segments

SECRETS = [b"52.518", b"Ada Example", b"secret note", b"serial-0071", b"GPS", b"Exif", b"xpacket", b"Photoshop"]
"""What is planted in an original; none of it may come out."""
APP0, COM, SOF2 = 0xE0, 0xFE, 0xC2
"""ITU-T T.81, table B.1: application segment 0, comment, start of a progressive frame."""


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def laden(path: Path) -> Path:
    """A JPEG with position, artist, maker's note, thumbnail, XMP, IPTC and a comment."""
    exif = Image.Exif()
    exif[0x013B], exif[0x010F] = "Ada Example", "Lantern"
    inside = exif.get_ifd(EXIF_IFD)
    inside[0x927C], inside[0xA431], inside[0x9286] = b"secret note", "serial-0071", b"ASCII\0\0\0secret note"
    place = exif.get_ifd(GPS_IFD)
    place[1], place[2], place[3], place[4] = "N", (52.0, 31.0, 7.0), "E", (13.0, 24.0, 18.0)
    place[27] = b"ASCII\0\0\052.518"
    plain = io.BytesIO()
    Image.effect_noise((200, 120), 60).convert("RGB").save(
        plain, "JPEG", exif=exif, comment=b"secret note 52.518"
    )
    xmp = b"http://ns.adobe.com/xap/1.0/\0<?xpacket?><x:xmpmeta>GPS 52.518 Ada Example</x:xmpmeta>"
    iptc = b"Photoshop 3.0\x008BIM\x04\x04\0\0\0\x0b" + b"Ada Example\0"
    thumbnail = b"JFXX\0\x10" + plain.getvalue()[:900]
    more = b"".join(
        bytes([0xFF, marker]) + (len(data) + 2).to_bytes(2, "big") + data
        for marker, data in ((0xE1, xmp), (0xED, iptc), (0xE0, thumbnail))
    )
    path.write_bytes(plain.getvalue()[:2] + more + plain.getvalue()[2:] + b"GPS 52.518 after the end")
    return path


def test_nothing_but_the_picture_comes_along(tmp_path: Path) -> None:
    """All segments of the copy by the structure of ITU-T T.81, annex B; JFIF's own APP0 is the only header."""
    source = laden(tmp_path / "laden.jpg")
    assert all(secret in source.read_bytes() for secret in (b"52.518", b"Ada Example", b"secret note", b"GPS"))
    copy = web_copy(source)
    assert not [secret for secret in SECRETS if secret in copy.data]
    found = segments(copy.data)
    allowed = {APP0, 0xDB, SOF2, 0xC4, 0xDA, 0}
    assert {marker for marker, _ in found} <= allowed
    assert [data[:5] for marker, data in found if marker == APP0] == [b"JFIF\0"]
    assert found[-1] == (0, b""), "nothing after the end of the image"
    image = opened(copy.data)
    assert not image.getexif()
    assert set(image.info) <= {
        "jfif",
        "jfif_version",
        "jfif_unit",
        "jfif_density",
        "progressive",
        "progression",
    }


@pytest.mark.parametrize("ending", ["png", "webp", "tiff", "avif"])
def test_other_formats_are_copied_without_what_they_carry(tmp_path: Path, ending: str) -> None:
    if ending in ("webp", "avif") and not features.check(ending):
        pytest.skip(f"Pillow was built without {ending} here")
    path = tmp_path / f"a.{ending}"
    exif = Image.Exif()
    exif[0x013B] = "Ada Example"
    exif.get_ifd(GPS_IFD)[27] = b"ASCII\0\0\052.518"
    note = PngImagePlugin.PngInfo()
    note.add_text("Comment", "secret note")
    Image.new("RGBA", (60, 40), (200, 40, 40, 255)).save(
        path, exif=exif, pnginfo=note if ending == "png" else None
    )
    assert b"Ada Example" in path.read_bytes()
    copy = web_copy(path)
    assert not [secret for secret in SECRETS if secret in copy.data]
    assert opened(copy.data).format == "JPEG"
    red, green, _ = opened(copy.data).convert("RGB").getpixel((20, 20))  # type: ignore[misc]
    assert red > 150 > 90 > green


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_comes_out_upright(tmp_path: Path, orientation: int) -> None:
    """CIPA DC-008 (Exif 2.32), 4.6.4 A, tag 0x0112: where row 0 and column 0 of the stored picture lie."""
    upright = Image.new("RGB", (80, 40), "white")
    upright.paste("red", (0, 0, 40, 20))
    upright.paste("blue", (40, 20, 80, 40))
    turn: dict[int, Callable[[Image.Image], Image.Image]] = {
        1: lambda image: image,
        2: ImageOps.mirror,
        3: lambda image: image.transpose(Image.Transpose.ROTATE_180),
        4: ImageOps.flip,
        5: lambda image: image.transpose(Image.Transpose.TRANSPOSE),
        6: lambda image: image.transpose(Image.Transpose.ROTATE_90),
        7: lambda image: image.transpose(Image.Transpose.TRANSVERSE),
        8: lambda image: image.transpose(Image.Transpose.ROTATE_270),
    }
    turned = turn[orientation](upright)
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    turned.save(tmp_path / "a.jpg", exif=exif, quality=95)
    copy = web_copy(tmp_path / "a.jpg")
    assert (copy.width, copy.height) == (80, 40) == opened(copy.data).size
    corners = [
        opened(copy.data).convert("RGB").getpixel(spot) for spot in ((10, 8), (70, 8), (10, 32), (70, 32))
    ]
    named = ["red" if r > g + 80 else "blue" if b > r + 80 else "white" for r, g, b in corners]  # type: ignore[misc]
    assert named == ["red", "white", "white", "blue"]


@pytest.mark.parametrize(
    ("size", "wanted"),
    [((4000, 3000), (1280, 960)), ((3000, 4000), (960, 1280)), ((640, 480), (640, 480)), ((1, 1), (1, 1))],
)
def test_the_long_side_is_bounded_and_nothing_is_blown_up(
    tmp_path: Path, size: tuple[int, int], wanted: tuple[int, int]
) -> None:
    copy = web_copy(photo(tmp_path / "a.jpg", size=size, colour="green"))
    assert (copy.width, copy.height) == wanted
    assert max(wanted) <= LONG_SIDE


def test_a_copy_is_progressive_and_of_the_quality_said(tmp_path: Path) -> None:
    source = tmp_path / "a.jpg"
    Image.effect_noise((300, 200), 80).convert("RGB").save(source, quality=98)
    copy = web_copy(source)
    assert SOF2 in {marker for marker, _ in segments(copy.data)}
    reference = io.BytesIO()
    Image.new("RGB", (8, 8)).save(reference, "JPEG", quality=82)
    ours, theirs = opened(copy.data), opened(reference.getvalue())
    assert ours.quantization == theirs.quantization  # type: ignore[attr-defined]


def test_a_picture_in_another_colour_space_is_turned_into_srgb(tmp_path: Path) -> None:
    """A profile whose red and green primaries are swapped in its tag table (ICC.1:2022, section 7.3)."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = profile.replace(b"rXYZ", b"????", 1).replace(b"gXYZ", b"rXYZ", 1).replace(b"????", b"gXYZ", 1)
    path = tmp_path / "a.png"
    for icc, wanted in ((profile, (200, 30, 30)), (swapped, (30, 200, 30)), (b"no profile", (200, 30, 30))):
        Image.new("RGB", (20, 20), (200, 30, 30)).save(path, icc_profile=icc)
        copy = web_copy(path)
        assert "icc_profile" not in opened(copy.data).info
        found = opened(copy.data).convert("RGB").getpixel((10, 10))
        assert isinstance(found, tuple)
        assert all(abs(ours - theirs) < 12 for ours, theirs in zip(found, wanted, strict=True)), (found, wanted)


@pytest.mark.parametrize(
    "mode", ["1", "L", "LA", "P", "PA", "RGB", "RGBA", "CMYK", "I;16", "F", "YCbCr", "LAB"]
)
def test_every_mode_of_picture_becomes_one_that_a_page_can_show(tmp_path: Path, mode: str) -> None:
    path = tmp_path / ("a.tiff" if mode in ("CMYK", "F", "YCbCr", "LAB", "PA") else "a.png")
    grey = Image.linear_gradient("L").resize((40, 40))
    image = grey.point(lambda value: value * 256, "I").convert("I;16") if mode == "I;16" else (
        grey.convert("RGB").convert(mode) if mode not in ("PA", "LAB", "I;16") else
        grey.convert("P").convert("PA") if mode == "PA" else
        Image.new("LAB", (40, 40), (128, 128, 128))
    )  # fmt: skip
    try:
        image.save(path)
        opened(path.read_bytes()).load()
    except (OSError, KeyError, ValueError):
        pytest.skip(f"Pillow does not write {mode} here, or not so that it can read it")
    copy = web_copy(path)
    assert opened(copy.data).convert("RGB").size == (40, 40)


def test_a_picture_that_can_be_seen_through_stands_on_white(tmp_path: Path) -> None:
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(tmp_path / "a.png")
    assert min(opened(web_copy(tmp_path / "a.png").data).convert("RGB").getpixel((9, 9))) > 250  # type: ignore[arg-type]


# -- bad input ---------------------------------------------------------------------------------------
def why(path: Path) -> SoldersideError:
    with pytest.raises(SoldersideError) as said:
        web_copy(path)
    assert said.value.where == str(path)
    assert said.value.hint
    return said.value


def test_bad_files_are_told_apart(tmp_path: Path) -> None:
    whole = photo(tmp_path / "whole.jpg", size=(400, 300)).read_bytes()
    for name, data, word in (
        ("empty.jpg", b"", "the file is empty"),
        ("text.jpg", b"this is a text\n" * 40, "not a picture, whatever its name says"),
        ("cut.jpg", whole[: len(whole) * 2 // 3], "cut off"),
        ("head.jpg", whole[:30], "picture"),
        ("page.jpg", b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "not a picture"),
    ):
        path = tmp_path / name
        path.write_bytes(data)
        assert word in why(path).what
    assert "no such file" in why(tmp_path / "gone.jpg").what


def test_a_picture_of_monstrous_size_is_refused_before_its_pixels_are_read(tmp_path: Path) -> None:
    path = photo(tmp_path / "bomb.png", make="", size=(64, 48), colour="white")
    raw = bytearray(path.read_bytes())
    raw[16:24] = (30_000).to_bytes(4, "big") + (30_000).to_bytes(4, "big")  # IHDR: PNG specification, 11.2.1
    raw[29:33] = zlib.crc32(bytes(raw[12:29])).to_bytes(4, "big")
    path.write_bytes(raw)
    limit = (Image.MAX_IMAGE_PIXELS or 0) // 1_000_000
    assert f"more than {limit} million pixels" in why(path).what
    raw[16:24] = (10_000).to_bytes(4, "big") + (9_500).to_bytes(4, "big")  # over the limit, under its double
    raw[29:33] = zlib.crc32(bytes(raw[12:29])).to_bytes(4, "big")
    path.write_bytes(raw)
    assert "million pixels" in why(path).what


def test_a_heic_file_gets_a_word_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "IMG_1.HEIC"
    path.write_bytes(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0" * 64)
    said = why(path)
    Image.init()
    if "HEIF" not in Image.OPEN:
        assert "HEIC" in said.what
        assert "JPEG" in said.hint


def test_without_pillow_it_is_said_how_to_install_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "PIL.Image", None)
    monkeypatch.setitem(sys.modules, "PIL", None)
    with pytest.raises(SoldersideError) as said:
        web_copy(tmp_path / "a.jpg")
    assert "pip install 'solderside[photos]'" in said.value.hint


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.integers(0, 10_000),
    st.binary(min_size=1, max_size=24),
    st.sampled_from([".jpg", ".png", ".webp", ".tiff"]),
)
def test_a_damaged_file_gives_a_copy_or_a_word_and_never_a_traceback(
    tmp_path: Path, place: int, noise: bytes, ending: str
) -> None:
    path = tmp_path / f"whole{ending}"
    if not path.exists():
        laden(path) if ending == ".jpg" else photo(path, "2031:02:03 18:20:05")
    raw = bytearray(path.read_bytes())
    place %= len(raw)
    raw[place : place + len(noise)] = noise
    damaged = tmp_path / f"damaged{ending}"
    damaged.write_bytes(raw)
    with contextlib.suppress(SoldersideError):
        assert web_copy(damaged).data[:2] == b"\xff\xd8"


def test_formats_that_run_foreign_programs_are_not_among_those_tried() -> None:
    assert not {"EPS", "PDF", "WMF", "FPX", "GIF", "PSD"} & set(webcopy.FORMATS)


def test_without_its_extra_a_heic_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "one.heic"
    path.write_bytes(b"\0\0\0\x18ftypheic" + b"\0" * 64)
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    Image.init()
    monkeypatch.delitem(Image.OPEN, "HEIF", raising=False)
    with pytest.raises(SoldersideError, match="HEIC is read by an extra"):
        web_copy(path)


def test_heic_is_read_by_its_extra(tmp_path: Path) -> None:
    heif = pytest.importorskip("pillow_heif")
    path = tmp_path / "one.heic"
    heif.from_pillow(Image.new("RGB", (64, 48), "red")).save(path)
    made = web_copy(path)
    assert (made.width, made.height) == (64, 48)
