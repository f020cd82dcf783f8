"""The pictures of a run inside a sheet: captions, words for those who cannot see them, SVG made fit to be inlined."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path

from buckle.record.sheet.content import MarginLine, Sheet
from buckle.record.sheet.values import load_text
from buckle.units import RECORDED, Units

_PROLOGUE = re.compile(r"^.*?(?=<svg\b)", re.DOTALL)
_METADATA = re.compile(r"\s*<metadata>.*?</metadata>", re.DOTALL)
_UNITS = re.compile(r"<dc:description>(pressures in [^<]*)</dc:description>")
_STYLE = re.compile(r"\s*<defs>\s*<style.*?</style>\s*</defs>", re.DOTALL)  # for all elements: the page has it too
_NAMESPACE = re.compile(r' xmlns(?::\w+)?="[^"]*"')
_ID = re.compile(r'\bid="([^"]+)"')
_LINK = re.compile(r'(?:xlink:)?href="#([^"]+)"')
_URL = re.compile(r"url\(#([^)]+)\)")
_SIZE = re.compile(r'<svg width="([\d.]+)pt" height="[\d.]+pt"')
_LARGEST = 1.75  # pixels of the screen for a point of the picture, so that small pictures keep their letters small
_LEAST = 1.05  # the same on a telephone, where a wide picture scrolls and can be read


@dataclass(frozen=True)
class Picture:
    """A picture by the name of its file, with what it shows and what can be read from it; quantities are marked."""

    name: str
    caption: str
    words: str
    section: str  # of the sheet


def pictures(sheet: Sheet, directory: Path, units: Units = RECORDED) -> Iterator[Picture]:
    """Yield the pictures that lie in a results directory, in the order of the sheet.

    The caption of one that the run drew in other units than the sheet has says so.
    """
    for name, (section, caption, words) in _ALL.items():
        file = directory / f"{name}.svg"
        if file.is_file():
            yield Picture(name, caption + units_note(file, units), words(sheet), section)


def units_note(file: Path, units: Units) -> str:
    """Return what the caption of a picture adds where its file tells other units than those of the sheet."""
    found = _UNITS.search(file.read_text("utf-8"))
    return "" if found is None or found[1] == units.in_words else f" (as the run drew it: {found[1]})"


def inlined(picture: Picture, directory: Path, units: Units, at: str = "") -> str:
    """Return a picture's SVG with ids of its own, a title and a description, and nothing that points outside.

    The ids begin with `at` and the picture's name.
    """
    text = (directory / f"{picture.name}.svg").read_text("utf-8")
    for pattern in (_PROLOGUE, _METADATA, _STYLE, _NAMESPACE):
        text = pattern.sub("", text)
    own = f"{at}{picture.name}"
    text = _ID.sub(rf'id="{own}-\1"', text)
    text = _LINK.sub(rf'href="#{own}-\1"', text)
    text = _URL.sub(rf"url(#{own}-\1)", text).replace("xlink:href", "href")
    points = _width(text)
    limits = f"max-width: {_LARGEST * points:.0f}px; --least: {_LEAST * points:.0f}px"
    opening = f'<svg role="img" aria-labelledby="{own}-title {own}-words" style="{limits}"'
    spoken = f'<title id="{own}-title">{escape(picture.caption)}</title>'
    spoken += f'<desc id="{own}-words">{escape(units.words(picture.words))}</desc>'
    text = _SIZE.sub(opening, text, count=1)
    return text.replace(">", ">" + spoken, 1).strip()


def _width(svg: str) -> float:
    """Return the width of a picture [pt]."""
    found = _SIZE.search(svg)
    assert found is not None
    return float(found[1])


# Words ----------------------------------------------------------------------------------------------------------------


def _section(sheet: Sheet) -> str:
    sizes = ", ".join(f"{each.key} {each.value}" for each in sheet.inputs.get("shape", ()))
    return f"Half section from the axis outward, with the true thickness. {sizes}."


def _deviation(sheet: Sheet) -> str:
    said = ", ".join(f"{each.key} {each.value}" for each in sheet.inputs.get("deviation", ()))
    return f"Over the arc length from the start of the meridian; up is away from the pressure. {said}."


def _material(sheet: Sheet) -> str:
    metal = {each.key: each.value for each in sheet.inputs.get("material", ())}
    stress = metal.get("yield_stress_MPa")
    start = "the stress of its first point" if stress is None else f"the yield stress {stress} MPa"
    return f"The curve starts at {start} and follows the hardening {metal.get('hardening', '')}."


def _demand(sheet: Sheet) -> str:
    return "" if sheet.contents is None else f"{sheet.contents.demand} {sheet.contents.holds}"


def _paths(sheet: Sheet) -> str:
    return f"Events on the paths: {_events(sheet, 'MNA', 'GNA', 'GMNA', 'GNIA', 'GMNIA')}."


def _waves(sheet: Sheet) -> str:
    lowest = [line for line in sheet.margins if "n =" in line.event]
    return f"Lowest points: {'; '.join(map(_event, lowest)) or 'none'}. All values are in by_wave_number.csv."


def _deformed(sheet: Sheet) -> str:
    events = _events(sheet, "GNA", "GMNA", "GNIA", "GMNIA")
    return f"Sections before loading, at the demanded pressures, at each event and beyond it. Events: {events}."


def _magnified(_: Sheet) -> str:
    return (
        "Unloaded section and the section at each demanded pressure, or at the first event where the path reached none,"
        " with displacements enlarged; pressure, largest travel and factor stand above each."
    )


def _modes(sheet: Sheet) -> str:
    waves = [line for line in sheet.margins if "n =" in line.event]
    return f"Modes in section through a crest and a trough: {'; '.join(map(_event, waves)) or 'none'}."


def _mode(_: Sheet) -> str:
    return "The waves of the critical mode around the body, shaded by light from above; the head says which mode it is."


def _grown(sheet: Sheet) -> str:
    found = _events(sheet, "GNIA", "GMNIA")
    said = ", ".join(f"{each.key} {each.value}" for each in sheet.inputs.get("deviation", ()))
    return f"Waves from small deviations in one mode ({said}); the least of the highest loads: {found}."


def _stresses(sheet: Sheet) -> str:
    first = next((line for line in sheet.margins if line.method == "LA"), None)
    return "Meridional, circumferential and von Mises stress at the inside, the middle and the outside of the wall." + (
        "" if first is None else f" First yield at {load_text(first.capacity, first.unit)}."
    )


def _plastic_strain(sheet: Sheet) -> str:
    governing = "; ".join(
        f"{rung.kind} {rung.event} at {load_text(rung.load, rung.unit)}" for rung in sheet.ladder if "M" in rung.kind
    )
    return (
        "Equivalent plastic strain of the outermost layers, not extrapolated to the faces, and of the middle, at the"
        f" governing event: {governing or 'none'}."
    )


def _capacity(sheet: Sheet) -> str:
    where = sheet.on_curve
    if where is None:
        return "Pressure over the plastic reference against relative slenderness."
    reached = f"{where.reached:.3f} of its plastic reference"
    return f"The body lies at relative slenderness {where.slenderness:.3f} and {reached}."


def _effects(sheet: Sheet) -> str:
    if sheet.sensitivities is None:
        return ""
    found = [each for each in sheet.sensitivities.effects if each.capacity.relative is not None][:5]
    largest = "; ".join(f"{each.key} {each.capacity.relative:+.3f}" for each in found)
    return f"Bars of the derivative of the logarithms of {sheet.sensitivities.quantity}. The largest: {largest}."


def _events(sheet: Sheet, *kinds: str) -> str:
    found = [line for line in sheet.margins if line.method in kinds and line.size_unit is None]
    return "; ".join(map(_event, found)) or "none"


def _event(line: MarginLine) -> str:
    return f"{line.method} {line.event or 'no event'} at {load_text(line.capacity, line.unit)}"


_ALL: Mapping[str, tuple[str, str, Callable[[Sheet], str]]] = {
    "sensitivities": ("effects", "Per cent of capacity by one per cent of each number", _effects),
    "section": ("inputs", "Section to scale with its dimensions", _section),
    "deviation": ("inputs", "Deviation from the perfect shape along the meridian", _deviation),
    "material": ("inputs", "Material curve as used by the plastic analyses", _material),
    "demand": ("contents", "Pressure that the contents make against temperature", _demand),
    "capacity": ("ladder", "Place on the capacity curve", _capacity),
    "paths": ("pictures", "Load against travel, with limits, bifurcations and what is required", _paths),
    "deformed": ("pictures", "Deformed sections at true scale", _deformed),
    "magnified": ("pictures", "Deformed sections with magnified displacements", _magnified),
    "stresses": ("pictures", "Stresses along the meridian: inside, middle, outside", _stresses),
    "plastic-strain": ("pictures", "Plastic strain along the meridian: inside, middle, outside", _plastic_strain),
    "critical-pressures": ("pictures", "Lowest load against the number of waves n", _waves),
    "modes": ("pictures", "Critical modes in section, displacements enlarged", _modes),
    "waves": ("pictures", "Load against the size of the waves, for each deviation before", _grown),
    "wave-shapes": ("pictures", "The body with its waves: at their onset, at the highest load and beyond", _grown),
    "mode": ("pictures", "Critical mode as a body, displacements enlarged", _mode),
}
"""File name -> section of the sheet, caption, and what makes the description."""
