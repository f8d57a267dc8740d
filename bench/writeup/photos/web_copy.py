"""Copies of photos sized for the web: upright, small, and with nothing in them but the picture.

A copy is painted onto a fresh picture, so that no position, thumbnail, comment or maker's note can come
along. Pillow is an extra and imported at the first picture.
"""

from __future__ import annotations

import contextlib
import struct
import warnings
from importlib import import_module
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from bench.errors import SoldersideError
from bench.files import open_plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PIL.Image import Image

LONG_SIDE = 1280
"""Pixels of a copy's longer side; a smaller picture is not blown up."""
QUALITY = 82
"""JPEG quality of a copy."""

FORMATS = ("JPEG", "MPO", "PNG", "WEBP", "AVIF", "HEIF", "TIFF")
"""Formats that are tried, as far as Pillow reads them here; others run foreign programs or are no photos."""
ENDINGS = (".jpg", ".jpeg", ".jpe", ".png", ".webp", ".avif", ".heic", ".heif", ".tif", ".tiff")
"""Endings of files that are taken for photos."""
_APPLE = (".heic", ".heif")

PICTURE_FAULTS = (
    OSError, ValueError, TypeError, SyntaxError, EOFError, LookupError, AttributeError, ArithmeticError,
    RuntimeError, MemoryError, struct.error,
)  # fmt: skip
"""What Pillow is known to raise over files that are broken on purpose or by accident."""


class WebCopy(Struct, frozen=True, kw_only=True):
    """A picture ready for a page."""

    data: bytes
    """A progressive JPEG."""
    width: int
    """Pixels."""
    height: int


def need_pillow() -> None:
    """Raise SoldersideError when Pillow is not installed."""
    try:
        import PIL.Image  # noqa: F401
    except ImportError:
        raise SoldersideError(
            "photos are read by Pillow, which is not installed", "", "run: pip install 'solderside[photos]'"
        ) from None


@contextlib.contextmanager
def opened(path: Path) -> Iterator[Image]:
    """A picture, its pixels not read yet.

    Raises SoldersideError, also over what Pillow makes of it meanwhile.
    """
    need_pillow()
    from PIL import Image, UnidentifiedImageError

    Image.init()
    if "HEIF" not in Image.OPEN and path.suffix.lower() in _APPLE:
        _read_heic()
    formats = [name for name in FORMATS if name in Image.OPEN]
    try:
        with warnings.catch_warnings(), open_plain(path, "photo", follow=False) as file:
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            if not file.read(1):
                raise SoldersideError("the file is empty", str(path), "copy it from the camera again")
            file.seek(0)
            with Image.open(file, formats=formats) as image:
                yield image
    except UnidentifiedImageError:
        if path.suffix.lower() in _APPLE and "HEIF" not in formats:
            what = "HEIC is read by an extra, which is not installed"
            hint = "run: pip install 'solderside[heic]', or let the phone save JPEG"
        else:
            what, hint = "this is not a picture, whatever its name says", "leave it out"
        raise SoldersideError(what, str(path), hint) from None
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        limit = (Image.MAX_IMAGE_PIXELS or 0) // 1_000_000
        raise SoldersideError(
            f"the picture has more than {limit} million pixels", str(path), "save it smaller, then try again"
        ) from None
    except OSError as error:
        if error.strerror:
            raise SoldersideError(
                f"the file cannot be read ({error.strerror})", str(path), "check its permissions"
            ) from error
        raise _broken(path, error) from error
    except PICTURE_FAULTS as error:
        raise _broken(path, error) from error


def _read_heic() -> None:
    """Let Pillow read HEIC, where the extra is installed."""
    with contextlib.suppress(ImportError):
        import_module("pillow_heif").register_heif_opener()


def _broken(path: Path, error: Exception) -> SoldersideError:
    cut = "truncated" in str(error).lower()
    what = "the picture is cut off" if cut else "the picture is damaged"
    return SoldersideError(what, str(path), "copy it from the camera again")


def web_copy(path: Path, long_side: int = LONG_SIDE, quality: int = QUALITY) -> WebCopy:
    """A copy of a photo for a page; raises SoldersideError when the photo cannot be read."""
    with opened(path) as image:
        from PIL import Image as Images
        from PIL import ImageOps

        image.thumbnail((long_side, long_side), Images.Resampling.LANCZOS, reducing_gap=1.5)
        image.load()
        profile = image.info.get("icc_profile")
        painted = _plain(ImageOps.exif_transpose(image))
        painted = _to_srgb(painted, profile)
        out = BytesIO()
        painted.save(out, "JPEG", quality=quality, progressive=True, optimize=True)
        return WebCopy(data=out.getvalue(), width=painted.width, height=painted.height)


def _plain(image: Image) -> Image:
    """The pixels alone on a fresh picture in red, green and blue, on white where it can be seen through."""
    from PIL import Image as Images

    if image.mode.startswith(("I", "F")):
        image = image.point(lambda value: value / 256).convert("L")
    see_through = image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info
    fresh = Images.new("RGB", image.size, "white")
    if see_through:
        image = image.convert("RGBA")
        fresh.paste(image, mask=image.getchannel("A"))
    else:
        fresh.paste(image.convert("RGB"))
    return fresh


def _to_srgb(image: Image, profile: bytes | None) -> Image:
    """The picture in sRGB, which is what a page takes it for; untouched when its profile cannot be used."""
    if not profile:
        return image
    with contextlib.suppress(ImportError, *PICTURE_FAULTS):
        from PIL import ImageCms

        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            changed = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
        except ImageCms.PyCMSError:
            return image
        return _plain(changed) if changed is not None else image
    return image
