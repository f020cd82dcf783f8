"""The tables of a container as data: which part goes first, all margins, what it holds, its metal, its pallet."""

from collections.abc import Iterator, Mapping, Sequence

from buckle.container.models import NAMES
from buckle.margins.margin import JUDGED
from buckle.margins.wording import event_words
from buckle.record.container import First
from buckle.record.quantities import Fields
from buckle.record.reading import number_of, rows_of
from buckle.record.sheet.container import ContainerSheet
from buckle.report.sheet.tables import GOVERNS, Cell, Row, TableData, margin_table, ratio, sized, table
from buckle.units import NONE, Units

RESERVE = "capacity / partial factor / demand"


def first_table(sheet: ContainerSheet, units: Units) -> TableData:
    """What each part carries, the weakest first under each load."""
    columns = ("part", "load", "carries", "limit state", "event", "demand", "reserve factor", "verdict on it")
    note = "the lowest load at which the analysis that decides finds a limit state; pressures first"
    return table("Which part goes first", columns, [_first(each, units) for each in sheet.firsts], note)


def _first(each: First, units: Units) -> Row:
    margin = each.margin
    load = margin.increasing
    return [
        each.part,
        load.words,
        sized(load.in_margin(margin.capacity), load.unit, units, at_least=margin.at_least),
        margin.limit_state,
        event_words(margin.event, margin.wave_number) or NONE,
        sized(load.in_margin(margin.demand), load.unit, units),
        ratio(margin.reserve),
        str(each.word),
    ]


def all_margins(sheet: ContainerSheet, units: Units, *, judged_alone: bool = False) -> TableData:
    """The margins of all parts in one table, each as it stands in the table of its part; or those that are judged."""
    tables = {name: margin_table(each, units) for name, each in sheet.chapters.items()}
    columns = list(dict.fromkeys(column for each in tables.values() for column in each.columns))
    columns.sort(key=lambda name: name == "verdict")  # a part without movements lacks the column before it
    governing = sheet.recorded.get("governing_part")
    rows = [
        (name, at, each)
        for name, each in tables.items()
        for at, line in enumerate(sheet.chapters[name].margins)
        if not judged_alone or line.verdict in JUDGED
    ]
    return table(
        f"{'Judged margins' if judged_alone else 'Margins'} of all parts (reserve factor = {RESERVE})",
        ("part", *columns),
        [[name, *_under(each, at, columns, governs=name == governing)] for name, at, each in rows],
        "1 or more is met; of a movement or a strain the capacity is the load at which what is allowed is reached",
        (at for at, (name, own, each) in enumerate(rows) if name == governing and own in each.bold),
    )


def _under(data: TableData, row: int, columns: Sequence[str], *, governs: bool) -> Iterator[Cell]:
    """Yield the cells of a row under the columns of the whole table; what governs a part need not govern the whole."""
    own: Mapping[str, Cell] = dict(zip(data.columns, data.rows[row], strict=True))
    for name in columns:
        cell = own.get(name, Cell(""))
        least = name == "verdict" and cell.text.endswith(GOVERNS) and not governs
        yield Cell(f"{cell.text.removesuffix(GOVERNS)}, least of its part") if least else cell


# What is said of the whole --------------------------------------------------------------------------------------------

_HOLDS = {
    "brim_volume_ml": "to the brim, open",
    "closed_volume_ml": "closed by its end",
    "fill_line_volume_ml": "up to the fill line",
    "headspace_ml": "headspace over the drink, closed",
    "filled_below_brim_mm": "the drink below the brim, open",
    "height_mm": "height of the body",
}
_METAL = {
    "diameter_mm": "disc",
    "in_part_g": "in the part",
    "trimmed_g": "trimmed off",
    "skeleton_g": "skeleton of the strip",
    "bought_g": "bought",
    "paid_per_thousand": "paid for a thousand",
    "returned_per_thousand": "returned as scrap",
    "metal_cost_per_thousand": "metal of a thousand",
}
_PALLET = {
    "hexagonal_per_layer": "in a layer, rows set off by half a step",
    "square_per_layer": "in a layer, rows and columns",
    "hexagonal_share": "of the pallet covered, set off",
    "square_share": "of the pallet covered, rows and columns",
    "layers": "layers",
    "containers": "containers",
    "filled_mass_g": "mass of a filled one",
    "height_mm": "height",
    "axial_force_N": "axial force on the lowest",
    "lower_bound_axial_force_N": "its wall's lower bound by hand, at the least pressure",
    "least_pressure_bar": "that pressure",
    "layers_by_lower_bound": "layers that this allows, lean and trays left out",
}


def summary_tables(recorded: Fields, units: Units) -> dict[str, TableData]:
    """Return what is said of the whole without any analysis."""
    return {
        "holds": holds_table(recorded, units),
        "mass": mass_table(recorded),
        "metal": metal_table(recorded, units),
        "pallet": pallet_table(recorded, units),
    }


def holds_table(recorded: Fields, units: Units) -> TableData:
    """What the container holds."""
    return table("What it holds", ("volume", "value"), _named(recorded, "", _HOLDS, units))


def mass_table(recorded: Fields) -> TableData:
    """Mass of each part, cut where it ends."""
    masses = {name: number_of(recorded.get(f"{name}.own_mass_g")) for name in NAMES}
    rows: list[Row] = [[name, _grams(mass)] for name, mass in masses.items() if mass is not None]
    whole = number_of(recorded.get("mass_g"))
    rows += [["all", _grams(whole)]] if whole is not None else []
    note = "cut where it ends: no stub of a neighbour; curl, hooks and flange are in the discs alone"
    return table("Mass of the parts", ("part", "mass"), rows, note)


def _grams(mass: float) -> Cell:
    return Cell(f"{mass:.2f}", mass, "g")


def metal_table(recorded: Fields, units: Units) -> TableData:
    """What body and end are cut from, and what that costs."""
    given = [name for name in ("body", "end") if f"blanks.{name}.diameter_mm" in recorded]
    rows: list[Row] = [
        [words, *(_cell(f"blanks.{name}.{key}", recorded, units) for name in given)] for key, words in _METAL.items()
    ]
    whole = number_of(recorded.get("metal_cost_per_thousand"))
    if len(given) > 1 and whole is not None:
        rows.append(["body and end", Cell(f"{whole:.2f}", whole), ""])
    note = "discs with trim and half the height of the ears; money in the currency of the prices"
    return table("Metal", ("", *given), rows if given else [], note)


def pallet_table(recorded: Fields, units: Units) -> TableData:
    """How it stands on a pallet."""
    return table("On the pallet", ("quantity", "value"), _named(recorded, "pallet.", _PALLET, units))


def _named(recorded: Fields, before: str, names: Mapping[str, str], units: Units) -> list[Row]:
    return [
        [words, _cell(f"{before}{key}", recorded, units)]
        for key, words in names.items()
        if f"{before}{key}" in recorded
    ]


def _cell(key: str, recorded: Fields, units: Units) -> Cell:
    value, suffix = number_of(recorded.get(key)), key.rpartition("_")[2]
    if value is None:
        return Cell(NONE)
    if suffix in ("bar", "mm", "N"):
        return sized(value, suffix, units)
    if key.endswith("_share"):
        return Cell(f"{100.0 * value:.1f}", 100.0 * value, "%")
    if suffix in ("ml", "g"):
        return Cell(f"{value:.4g}" if suffix == "ml" else f"{value:.2f}", value, suffix)
    return Cell(f"{value:.2f}" if isinstance(recorded[key], float) else f"{value:.0f}", value)


# As one shell ---------------------------------------------------------------------------------------------------------


def joint_table(sheet: ContainerSheet, units: Units) -> TableData:
    """What each part carries as a part of the whole, beside what it carries alone."""
    given = rows_of(sheet.recorded.get("joint.parts"))
    rows: list[Row] = [
        [
            str(row["part"]),
            str(row["event"]),
            sized(number_of(row["joint_pressure_bar"]), "bar", units),
            sized(number_of(row["alone_pressure_bar"]), "bar", units),
            ratio(number_of(row["alone_over_joint"])),
            str(row["edge"]),
            str(row["nearest_edge"]),
            ratio(number_of(row["nearest_over_joint"])),
        ]
        for row in given
    ]
    columns = ("part", "event", "in the whole", "alone", "alone / whole", "its edge", "nearest edge", "that / whole")
    return table("What isolating a part costs (GMNA, one shell from base to end)", columns, rows)
