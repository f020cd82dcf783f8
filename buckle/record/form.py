"""What a record must look like before anything is read from it: types, signs and sizes of all that a sheet shows."""

import re
from collections.abc import Iterator, Mapping
from typing import Annotated

from annotated_types import Ge, Le
from pydantic import BaseModel, ConfigDict, StringConstraints, ValidationError, model_validator

from buckle.margins import Verdict, Word
from buckle.record.margins import OUT_OF_RANGE
from buckle.record.quantities import KINDS, Fields
from buckle.record.seal import KEPT
from buckle.results import Status

DEEPEST = 12
"""Lists and objects within each other; a record has six."""
LONGEST = 120
"""Characters of a place or a reason that are repeated."""
LARGEST_NUMBER = 1e30
"""Beyond every quantity of a container in its unit, and small enough that no product of two overflows."""

Number = Annotated[float, Ge(-LARGEST_NUMBER), Le(LARGEST_NUMBER)]
Positive = Annotated[float, Ge(1e-12), Le(LARGEST_NUMBER)]
NotNegative = Annotated[float, Ge(0.0), Le(LARGEST_NUMBER)]
Waves = Annotated[int, Ge(0), Le(1_000_000)]
Sha256 = Annotated[str, StringConstraints(pattern="^[0-9a-f]{64}$")]
FileName = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,200}$")]
UNIT = r"^(-|rad|((1|N|mm|MPa)\d?)( (N|mm|MPa)\d?)*(/(N|mm|MPa)\d?( (N|mm|MPa)\d?)*)?)$"
"""What formulas calculate in: products and quotients of N, mm and MPa, an angle, or '-' for a bare number."""
VERDICTS = "|".join([*Verdict, OUT_OF_RANGE])
_NO_TEXT = re.compile("[\ud800-\udfff]")


class Part(BaseModel):
    """A part of a record; keys that are not told here are left alone."""

    model_config = ConfigDict(strict=True, extra="allow", allow_inf_nan=False)


class CaseFile(Part):
    """The case file as it was read."""

    name: Annotated[str, StringConstraints(min_length=1)]
    kept_as: Annotated[str, StringConstraints(pattern="^(" + "|".join(map(re.escape, KEPT)) + ")$")]
    sha256: Sha256


class Seal(Part):
    """What binds a record to its files and its time."""

    form: int
    case_file: CaseFile
    analysed_at: Annotated[str, StringConstraints(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$")]
    artefacts_sha256: dict[FileName, Sha256]
    digest_sha256: Sha256


class InputRow(Part):
    """A quantity as it was used; any value."""

    key: str
    value: object
    origin: str
    source: str = ""


class QuantityRow(Part):
    """A number of a hand calculation under its letter; without a value where it is not finite."""

    symbol: Annotated[str, StringConstraints(min_length=1)]
    value: Number | None = None
    unit: Annotated[str, StringConstraints(pattern=UNIT)]


class RangeRow(Part):
    """A range of use, the number that must lie in it, and whether it does."""

    symbol: Annotated[str, StringConstraints(min_length=1)]
    low: Number | None = None
    high: Number | None = None
    value: Number | None = None
    unit: Annotated[str, StringConstraints(pattern=UNIT)] = "-"
    met: bool | None = None


class MarginRow(Part):
    """A computed margin, or a hand value beside one."""

    limit_state: str
    method: str
    source: str
    verdict: Annotated[str, StringConstraints(pattern=f"^({VERDICTS})$")]
    event: str = ""
    governs: bool = False
    capacity_bar: Positive | None = None
    demand_bar: Positive | None = None
    capacity_N: Number | None = None  # noqa: N815 - keys carry their unit
    demand_N: Number | None = None  # noqa: N815
    partial_factor: Annotated[float, Ge(1.0), Le(10.0)] = 1.0
    found_mm: Number | None = None
    allowed_mm: NotNegative | None = None
    found: Number | None = None
    allowed: NotNegative | None = None
    reserve_factor: Number | None = None
    wave_number: Waves | None = None
    numerical_error_percent: NotNegative | None = None
    at_least: bool = False
    reason: str = ""
    beside: str = ""
    ratio_hand_to_computed: Number | None = None
    expression: str = ""
    formula: str = ""
    kind: str = ""
    inputs: list[QuantityRow] = []
    steps: list[QuantityRow] = []
    ranges: list[RangeRow] = []
    conditions: list[str] = []
    ignores: list[str] = []

    @model_validator(mode="after")
    def _range_is_of_hand_values(self) -> "MarginRow":
        """Refuse a computed margin that is out of range. Raises ValueError."""
        if self.verdict == OUT_OF_RANGE and "beside" not in self.model_fields_set:
            raise ValueError(f"{OUT_OF_RANGE!r} is said of hand values alone")
        return self


class ExpectationRow(Part):
    """What the case expects."""

    quantity: str
    expected: object
    deviation_percent: Number | None = None
    tolerance_percent: NotNegative | None = None
    met: bool
    source: str


class GrowthRow(Part):
    """Growth at a load."""

    pressure_bar: Positive | None = None
    axial_force_N: Number | None = None  # noqa: N815
    growth_mm: Number
    permanent_growth_mm: Number | None = None
    stand_drop_mm: Number | None = None
    face_strain: NotNegative | None = None
    middle_strain: NotNegative | None = None
    at: str
    analysis: str


class WaveRow(Part):
    """Lowest load of a wave number."""

    wave_number: Waves
    pressure_bar: Number | None = None
    axial_force_N: Number | None = None  # noqa: N815


class WavePathRow(Part):
    """What came of a deviation in waves."""

    deviation_mm: Positive
    wave_number: Waves
    limit_pressure_bar: Positive | None = None
    limit_axial_force_N: Number | None = None  # noqa: N815
    visible_waves_pressure_bar: Positive | None = None
    visible_waves_axial_force_N: Number | None = None  # noqa: N815
    waves_mm: NotNegative | None = None
    growth_beyond: NotNegative | None = None
    saturates: bool | None = None
    ended: str = ""


class BalanceRow(Part):
    """Axial equilibrium."""

    applied_N: Number  # noqa: N815 - keys carry their unit
    reaction_N: Number  # noqa: N815


class Benchmarks(Part):
    """How the benchmark suite stands."""

    cases: int
    expectations: int
    met: int


class KindFields(Part):
    """Everything that one analysis found, under names without its kind."""

    status: Annotated[str, StringConstraints(pattern=f"^({'|'.join(Status)})$")]
    reason: str = ""
    remedy: str = ""
    notes: list[str] = []
    first_yield_pressure_bar: Positive | None = None
    first_yield_axial_force_N: Number | None = None  # noqa: N815
    critical_pressure_bar: Positive | None = None
    critical_axial_force_N: Number | None = None  # noqa: N815
    wave_number: Waves | None = None
    by_wave_number: list[WaveRow] = []
    waves: list[WavePathRow] = []
    limit_pressure_bar: Positive | None = None
    limit_axial_force_N: Number | None = None  # noqa: N815
    highest_limit_pressure_bar: Positive | None = None
    highest_limit_axial_force_N: Number | None = None  # noqa: N815
    bifurcation_pressure_bar: Positive | None = None
    bifurcation_axial_force_N: Number | None = None  # noqa: N815
    bifurcation_wave_number: Waves | None = None
    deformation_theory_bifurcation_pressure_bar: Positive | None = None
    deformation_theory_bifurcation_axial_force_N: Number | None = None  # noqa: N815
    deformation_theory_bifurcation_wave_number: Waves | None = None
    governing_pressure_bar: Positive | None = None
    governing_axial_force_N: Number | None = None  # noqa: N815
    governing_event: str = ""
    capacity_pressure_bar: Positive | None = None
    capacity_axial_force_N: Number | None = None  # noqa: N815
    capacity_event: str = ""
    at_least_pressure_bar: Positive | None = None
    at_least_axial_force_N: Number | None = None  # noqa: N815
    bifurcation_at: str = ""
    numerical_error_percent: NotNegative | None = None
    settings: dict[str, object] = {}
    balance: BalanceRow | None = None
    convergence_percent: dict[str, Number] = {}


class ConditionRow(Part):
    """A condition of the contents; vapour and headspace are never negative, a gauge pressure may be."""

    temperature_degC: Number  # noqa: N815 - keys carry their unit
    altitude_m: Number
    pressure_bar: Number
    name: str = ""
    time_min: Positive | None = None
    water_vapour_bar: NotNegative
    headspace_ml: NotNegative
    by_weiss_bar: Number | None = None


class HoldsTo(Part):
    """Up to where the contents are held."""

    at_least: bool
    liquid_fills_the_container: bool
    capacity_over_partial_factor_bar: Positive
    partial_factor: Annotated[float, Ge(1.0), Le(10.0)]
    metal_temperature_degC: Number  # noqa: N815
    metal_softens: bool
    altitude_m: Number
    in_words: str
    limited_by: str | None = None  # a movement or strain that is as much as is allowed before


class SensitivityRow(Part):
    """A derivative of a quantity by a number of the case; without one where both sides differ, or one is missing."""

    quantity: str
    key: str
    value: Number
    derivative: Number | None = None
    relative: Number | None = None
    from_below: Number | None = None
    from_above: Number | None = None
    reason: str = ""


class ToleranceRow(Part):
    """A tolerance and the least reserve factor at its ends, to first order."""

    key: str
    law: str = ""
    low: Number
    high: Number
    reserve_at_low: Number | None = None
    reserve_at_high: Number | None = None


class RecordForm(Part):
    """A record but for its analyses."""

    title: str
    purpose: str
    family: str
    input_sha256: Sha256
    versions: dict[str, str]
    benchmarks: Benchmarks
    record: Seal
    verdict: Annotated[str, StringConstraints(pattern=f"^({'|'.join(Word)})$")]
    reserve_factor: Number | None = None
    governing_limit_state: str = ""
    required: bool
    required_pressure_bar: Positive | None = None
    required_axial_force_N: Number | None = None  # noqa: N815
    decided_by: str = ""
    wave_numbers_examined: list[Waves]
    doubts: list[str] = []
    not_judged: list[str] = []
    strain_cautions: list[str] = []
    body_cautions: list[str] = []
    margins: list[MarginRow]
    expectations: list[ExpectationRow] = []
    inputs: list[InputRow]
    cautions: list[str]
    demand_bar: Number | None = None
    demand_vacuum_bar: NotNegative | None = None
    demand_conditions: list[ConditionRow] = []
    demand_assumptions: list[str] = []
    demand_cautions: list[str] = []
    demand_in_words: str = ""
    holds_to_temperature_degC: Number | None = None  # noqa: N815
    holds_to: HoldsTo | None = None
    growth_at_bar: list[GrowthRow] = []
    growth_at_N: list[GrowthRow] = []  # noqa: N815
    permanent_growth_mm: Number | None = None
    sensitivities: list[SensitivityRow] = []
    sensitivities_failed: dict[str, str] = {}
    reserve_at_tolerances: list[ToleranceRow] = []
    mass_g: Positive | None = None
    enclosed_volume_ml: Number | None = None
    surface_area_mm2: Positive | None = None
    blank_diameter_mm: Positive | None = None


class Sealed(Part):
    """A record of which only what binds it is looked at."""

    record: Seal


def seal_faults(recorded: Fields) -> Iterator[str]:
    """Yield what is wrong with the form of what binds a record to its files."""
    yield from _value_faults(recorded, "", 0)
    yield from _model_faults(Sealed, recorded, "")


def form_faults(recorded: Fields) -> Iterator[str]:
    """Yield what a record may not look like, each as 'place: what is wrong'."""
    yield from _value_faults(recorded, "", 0)
    yield from _model_faults(RecordForm, recorded, "")
    for kind in KINDS:
        own = {key.removeprefix(f"{kind}."): value for key, value in recorded.items() if key.startswith(f"{kind}.")}
        if own:
            yield from _model_faults(KindFields, own, f"{kind}.")


def _model_faults(model: type[BaseModel], recorded: Fields, before: str) -> Iterator[str]:
    try:
        model.model_validate(recorded)
    except ValidationError as error:
        for each in error.errors(include_url=False, include_input=False, include_context=False):
            yield f"{before}{_dotted(each['loc'])}: {_line(each['msg'])}"


def _dotted(location: tuple[int | str, ...]) -> str:
    return _line("".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in location).removeprefix("."))


def _value_faults(value: object, location: str, depth: int) -> Iterator[str]:
    """Yield what no value of a record may be, whatever its key."""
    where = _line(location) or "the record"
    if depth > DEEPEST:
        yield f"{where}: lists within lists, deeper than {DEEPEST}"
    elif isinstance(value, Mapping):
        for key, item in value.items():
            yield from _value_faults(key, f"{where}: key", depth)
            yield from _value_faults(item, f"{location}.{key}".removeprefix("."), depth + 1)
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _value_faults(item, f"{location}[{index}]", depth + 1)
    elif value is None:
        yield f"{where}: is null, which a run never writes"
    elif isinstance(value, int | float) and not abs(value) <= LARGEST_NUMBER:  # NaN is not less than anything
        yield f"{where}: is not a finite number of bearable size"
    elif isinstance(value, str) and _NO_TEXT.search(value):
        yield f"{where}: holds half a character, which no text has"


def _line(text: str) -> str:
    """Return a text as one line of bearable length that any terminal can show."""
    return " ".join(text.encode("ascii", "backslashreplace").decode().split())[:LONGEST]
