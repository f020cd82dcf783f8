"""Whether an analysis can see what governs a body, so that a verdict may rest on it."""

from buckle.case import Case
from buckle.case.models import like

_LACKS = {
    "GNA": "GNA does not know that the metal yields",
    "LBA": "LBA knows neither how the shape changes under {load} nor that the metal yields",
    "MNA": "MNA does not know how the shape changes under {load}",
    "LA": "LA gives stresses, not what the body carries",
}


def lacks(case: Case, kind: str) -> str:
    """Say why no verdict can rest on an analysis; empty where one can.

    GMNA sees what governs the perfect shape; GNA does where the case declares that the metal does not yield. The same
    of a deviated shape see what governs that one.
    """
    kind = like(kind)
    if kind == "GMNA" or (kind == "GNA" and not case.material.yields):
        return ""
    load = case.loads.increasing.words
    if not kind:
        return f"no analysis was run that follows {load}"
    lack = _LACKS[kind].format(load=load)
    if case.material.hardening is None and case.material.yields:
        more = "give yield_stress_MPa and run GMNA, or declare that the metal does not yield (material.yields = false)"
        return f"{lack}, and no yield stress is given: {more}"
    return f"{lack}: run {'GNA' if not case.material.yields else 'GMNA'}"
