"""A page as its parts, read by the standard library alone: what a browser and a screen reader would find."""

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from itertools import pairwise

from tests.helpers.paths import ROOT

POINTS_PER_MM = 72.0 / 25.4
VOID = {"meta", "br", "link", "img", "hr", "input"}


@dataclass
class Element:
    """An element with its attributes, children and own text."""

    tag: str
    attributes: dict[str, str]
    parent: "Element | None" = None
    children: list["Element"] = field(default_factory=list)
    pieces: list[str] = field(default_factory=list)

    def all(self, tag: str = "", **wanted: str) -> "list[Element]":
        """Every element below of a tag whose attributes (data_x for data-x, class_ for class) are as wanted."""
        names = {key.rstrip("_").replace("_", "-"): value for key, value in wanted.items()}
        found = []
        for child in self.children:
            if (not tag or child.tag == tag) and all(child.attributes.get(k) == v for k, v in names.items()):
                found.append(child)
            found += child.all(tag, **wanted)
        return found

    @property
    def text(self) -> str:
        """All text in it."""
        return " ".join("".join(self.pieces).split())


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.root = Element("", {})
        self.open = self.root
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if len({name for name, _ in attrs}) != len(attrs):
            self.faults.append(f"an attribute twice in <{tag}>")
        element = Element(tag, {name: value or "" for name, value in attrs}, self.open)
        self.open.children.append(element)
        if tag not in VOID:
            self.open = element

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open.children.append(Element(tag, {name: value or "" for name, value in attrs}, self.open))

    def handle_endtag(self, tag: str) -> None:
        if self.open.tag != tag:
            self.faults.append(f"</{tag}> closes <{self.open.tag}> at {self.getpos()}")
        self.open = self.open.parent or self.root

    def handle_data(self, data: str) -> None:
        at: Element | None = self.open
        while at is not None:
            at.pieces.append(data)
            at = at.parent


def read_page(html: str) -> Element:
    """Return the page; fails if a tag is not closed or an attribute stands twice."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    assert reader.faults == []
    assert reader.open is reader.root
    return reader.root


def check_page(html: str) -> None:
    """What every page must keep to: one file, headings in order, names for all that is no text."""
    page = read_page(html)
    assert html.startswith("<!DOCTYPE html>")
    assert page.all("html")[0].attributes["lang"] == "en"
    assert len(page.all("h1")) == 1
    levels = [int(each.tag[1]) for each in page.all() if re.fullmatch(r"h[1-6]", each.tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))
    ids = [each.attributes["id"] for each in page.all() if "id" in each.attributes]
    assert len(ids) == len(set(ids))
    _check_references(html, page, set(ids))
    for svg in page.all("svg"):
        assert svg.attributes["role"] == "img"
        named = svg.attributes["aria-labelledby"].split()
        assert [each.attributes["id"] for each in svg.children[:2]] == named
        assert [each.tag for each in svg.children[:2]] == ["title", "desc"]
        assert all(each.text for each in svg.children[:2])
    for table in page.all("table"):
        assert table.all("caption")[0].text
        assert len({len(row.all("td")) + len(row.all("th")) for row in table.all("tr")}) == 1
    for math in page.all("math"):
        assert math.attributes["alttext"]


def printed_letters(svg: str) -> float:
    """Size [pt] of the smallest letters of a picture on an A4 page of a sheet: its width and the style's height."""
    width, height = (
        float(each) for each in re.search(r'<svg [^>]*width="([\d.]+)pt" height="([\d.]+)pt"', svg).groups()
    )
    style = (ROOT / "buckle" / "report" / "templates" / "style.css.j2").read_text(encoding="utf-8")
    margin = float(re.search(r"@page { margin: \d+mm (\d+)mm", style)[1])
    highest = float(re.search(r"figure svg { max-height: (\d+)mm; }", style)[1])
    shrunk = min((210.0 - 2.0 * margin) * POINTS_PER_MM / width, highest * POINTS_PER_MM / height, 1.0)
    return shrunk * 100.0 * min(float(each) for each in re.findall(r"scale\(([\d.]+) -", svg))  # glyphs are 100 pt


def _check_references(html: str, page: Element, ids: set[str]) -> None:
    """Nothing is fetched: every reference points into the page or carries its data."""
    assert "http" not in html
    assert "@import" not in html
    assert not page.all("script")
    assert not page.all("link")
    for each in page.all():
        for name in ("src", "href", "xlink:href"):
            target = each.attributes.get(name, "#opening")
            assert target.startswith("data:image/png;base64,") or target[1:] in ids, (each.tag, target[:60])
    assert set(re.findall(r"url\(#([^)]+)\)", html)) <= ids
    assert set(re.findall(r"url\((.)", html)) <= {"#"}
