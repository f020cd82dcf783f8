"""What a distribution of reserves came to, as plain data."""

import math
from typing import Any

from buckle.shortfall.distribution import SHARES, Distribution
from buckle.shortfall.sampling import Level, Sample, Share
from buckle.shortfall.words import capability_words, sentence
from buckle.study.scores import Scatter


def shortfall_record(made: Distribution, scatter: Scatter, evaluations: int) -> dict[str, Any]:
    """Return the record of a distribution; shares are of all designs, ppm are parts per million."""
    return {
        "asked_reserve_factor": made.asked,
        "reserve_factor": float(made.nominal.min()),
        "expected_ppm": _ppm(made.weighted_share),
        "by_first_order": {
            "ppm": 1e6 * made.first_share,
            "reserve_factors": _levels(made.first_levels),
            "design_points": [
                {
                    "requirement": name,
                    "reserve_factor_of_the_case": float(value),
                    "distance_in_standard_deviations": point.beta,
                    "found": point.found,
                    "values": dict(scatter.inputs(point.u[None, :])[0]),
                }
                for name, value, point in zip(made.requirements, made.nominal, made.points, strict=True)
            ],
        },
        "by_second_order": {
            "ppm": _in_ppm(made.second_share),
            "reason": made.why_no_second,
            "design_points": [
                {
                    "requirement": name,
                    "ppm": _in_ppm(each.share),
                    "ppm_by_the_asymptotic_formula": _in_ppm(each.asymptotic),
                    "curvatures": list(each.curvatures),
                    "reason": each.reason,
                }
                for name, each in zip(made.requirements, made.curved, strict=True)
            ],
        },
        "by_sampling_about_the_design_points": _of_sample(made, made.weighted),
        "by_plain_sampling": {
            **_of_sample(made, made.plain),
            "mean_reserve_factor": made.plain.mean,
            "standard_deviation": made.plain.deviation,
        },
        "capability_index": made.capability if math.isfinite(made.capability) else None,
        "capability_in_words": capability_words(made),
        "share_of_scatter": dict(zip(scatter.keys, map(float, made.scatter_shares), strict=True)),
        "change_by_one_standard_deviation": dict(zip(scatter.keys, map(float, made.slopes), strict=True)),
        "disagreements": made.disagreements,
        "in_words": sentence(made),
        "evaluations": evaluations,
    }


def _of_sample(made: Distribution, sample: Sample) -> dict[str, Any]:
    without = int((sample.reserves == -math.inf).sum())
    return {
        "designs": len(sample.reserves),
        "designs_without_reserve": without,
        "ppm": _ppm(sample.share_below(made.asked)),
        "reserve_factors": [
            {"share": share, **_level(level)} for share, level in zip(SHARES, made.levels(sample), strict=True)
        ],
    }


def _in_ppm(share: float | None) -> float | None:
    return None if share is None else 1e6 * share


def _ppm(share: Share) -> dict[str, float]:
    return {"value": 1e6 * share.value, "low": 1e6 * share.low, "high": 1e6 * share.high}


def _level(level: Level) -> dict[str, float | None]:
    named = {"value": level.value, "low": level.low, "high": level.high}
    return {name: value if math.isfinite(value) else None for name, value in named.items()}


def _levels(values: tuple[float, ...]) -> list[dict[str, float]]:
    return [{"share": share, "value": value} for share, value in zip(SHARES, values, strict=True)]
