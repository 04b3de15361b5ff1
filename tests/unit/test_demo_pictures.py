"""The demo's drawn pictures: all there, of one size, without hidden notes; the pen draws the same twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from tools.draw_pictures import SCENES
from tools.pictures.pen import FOOT, HEIGHT, WIDTH, Pen, box

PICTURES = Path(__file__).parents[2] / "demo" / "tern-quay" / "pictures"


def test_every_scene_has_its_picture_and_no_other_lies_there() -> None:
    assert sorted(p.stem for p in PICTURES.glob("*.jpg")) == sorted(name for name, _ in SCENES)


@pytest.mark.parametrize("name", [name for name, _ in SCENES])
def test_a_picture_is_a_plain_jpeg_of_the_agreed_size(name: str) -> None:
    with Image.open(PICTURES / f"{name}.jpg") as picture:
        assert (picture.format, picture.size) == ("JPEG", (WIDTH, HEIGHT))
        assert dict(picture.getexif()) == {}


def sketch(path: Path, seed: int) -> bytes:
    pen = Pen(seed)
    pen.shape(box(200, 200, 700, 600))
    pen.hatch(box(200, 200, 700, 600))
    pen.stipple(box(800, 200, 1200, 600), 40)
    pen.finish("A box", path)
    return path.read_bytes()


def test_the_pen_draws_the_same_bytes_from_the_same_seed(tmp_path: Path) -> None:
    first = sketch(tmp_path / "first.jpg", 7)
    assert sketch(tmp_path / "second.jpg", 7) == first
    assert sketch(tmp_path / "third.jpg", 8) != first


def test_the_caption_stands_on_the_picture(tmp_path: Path) -> None:
    sketch(tmp_path / "one.jpg", 7)
    with Image.open(tmp_path / "one.jpg") as picture:
        foot = picture.convert("L").crop((WIDTH // 2, HEIGHT - FOOT + 8, WIDTH, HEIGHT))
    dark = sum(foot.histogram()[:90])
    assert dark > 1500, "the words `drawing, not a photograph` are not there"
