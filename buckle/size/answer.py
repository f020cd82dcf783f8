"""The answer to a question about one variable in words, or why there is none."""

from buckle.size.one import Crossing, Scan
from buckle.size.trial import Trial
from buckle.store import RowStatus


def with_unit(scan: Scan, value: float) -> str:
    """Return a value of the variable with its unit."""
    return f"{value:.5g}" + (f" {scan.variable.unit}" if scan.variable.unit else "")


def why_none(scan: Scan) -> str:
    """Say why no value gives the reserve that is asked."""
    judged, low, high = scan.judged, scan.trials[0][0], scan.trials[-1][0]
    between = f"between {with_unit(scan, low)} and {with_unit(scan, high)}"
    if scan.stopped:
        return f"the analysis stopped {between}: {scan.stopped[0]}"
    if not judged:
        return f"no design {between} has a reserve: {_commonest(scan)}"
    best = max(judged, key=lambda each: each[1].least or 0.0)
    worst = min(judged, key=lambda each: each[1].least or 0.0)
    if (best[1].least or 0.0) < scan.asked:
        words = f"a reserve factor of {scan.asked:g} is reached nowhere {between}: the highest is {_at(scan, *best)}"
    else:
        words = f"the reserve factor is above {scan.asked:g} everywhere {between}: the least is {_at(scan, *worst)}"
    return f"{words}{_ends(scan)}"


def notes(scan: Scan, answer: Crossing) -> list[str]:
    """Return what beside the answer was found."""
    others = [each for each in scan.crossings if each is not answer]
    found = [f"{answer.jump}"] if answer.jump else []
    found += [
        f"another answer is {with_unit(scan, each.value)}: there it holds "
        f"{'above' if each.holds_above else 'below'} ({each.trial.governing})"
        for each in others
    ]
    found += list(scan.stopped)
    edge = _ends(scan).removeprefix("; ")
    return [*found, *([edge] if edge else [])]


def _at(scan: Scan, value: float, trial: Trial) -> str:
    return f"{trial.least:.4g} at {with_unit(scan, value)} ({trial.governing})"


def _ends(scan: Scan) -> str:
    """Say where shapes stop closing and where analyses stop."""
    built = [value for value, trial in scan.trials if trial.status is not RowStatus.NOT_BUILT]
    unbuilt = [(value, trial) for value, trial in scan.trials if trial.status is RowStatus.NOT_BUILT]
    words = []
    for side, these in (
        ("below", [each for each in unbuilt if built and each[0] < built[0]][-1:]),
        ("above", [each for each in unbuilt if built and each[0] > built[-1]][:1]),
    ):
        edge = built[0] if side == "below" else built[-1] if built else 0.0
        words += [f"{side} {with_unit(scan, edge)} no case can be made ({trial.reason})" for _, trial in these]
    failed = [value for value, trial in scan.trials if not trial.judged and trial.status is not RowStatus.NOT_BUILT]
    if failed:
        trial = next(trial for value, trial in scan.trials if value == failed[0])
        words.append(f"no reserve at {', '.join(with_unit(scan, each) for each in failed[:4])}: {trial.reason}")
    short = [(value, trial) for value, trial in scan.judged if trial.status is RowStatus.NO_LIMIT]
    if short:
        value, trial = max(short, key=lambda each: each[1].least or 0.0)
        words.append(
            f"at {_count(len(short))} no limit was met, and the path was followed as far as it makes sense: the "
            f"reserve is no lower than what is told, {_at(scan, value, trial)} the highest of these"
        )
    return "".join(f"; {each}" for each in words)


def _count(number: int) -> str:
    return "one value" if number == 1 else f"{number} values"


def _commonest(scan: Scan) -> str:
    reasons = [trial.reason or "nothing that is required can be judged" for _, trial in scan.trials]
    return max(set(reasons), key=reasons.count)
