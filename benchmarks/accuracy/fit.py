"""Fit the edge rules to the tuning parts: `python -m benchmarks.accuracy.fit --data FOLDER`.

Writes `src/couchside/waves/edge_rules.py`, with `--only` some of them. The fit is a ridge
regression whose large errors count less (Huber), so that one odd annotation does not bend a rule.
"""

from __future__ import annotations

import argparse
import re
import sys
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from benchmarks.accuracy.annotated import FloatArray, Part
from benchmarks.accuracy.edge_samples import (
    BOUNDARIES,
    EdgeSamples,
    RuleSamples,
    collect_samples,
)

HUBER_MS = 15.0
PENALTY_MS2 = 80.0
MOST_ERROR_MS = 150.0
"""Farther from the mark than this another wave was found; no rule can mend that."""
ITERATIONS = 20
TARGET = Path("src/couchside/waves/edge_rules.py")

_HEAD = '''"""Weights of the edge rules.

Fitted by `python -m benchmarks.accuracy.fit --data FOLDER`, on the day that stands above each, to
LUDB records of odd number, to the first half of the QT Database, and to simulated people and
written beats of seeds, rates and widths of their own; from none of these is a figure in
`docs/validation.md` reported. Order: constant, base, all leads together, middle lead, then own
departure or outermost leads; see `combine`.
"""

from __future__ import annotations

from couchside.waves.combine import EdgeRule, make_rule

# fmt: off
'''


def main(argv: list[str]) -> int:
    """Fit and write; what is not asked for stays as it stands."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.accuracy.fit")
    parser.add_argument("--data", type=Path, required=True, help="folder of the open recordings")
    parser.add_argument("--only", nargs="+", choices=list(BOUNDARIES), help="fit only these rules")
    arguments = parser.parse_args(argv)
    samples = collect_samples(arguments.data, Part.TUNE)
    today = datetime.now(UTC).date().isoformat()
    rules = _read_rules(TARGET.read_text(encoding="utf-8"))
    for name in arguments.only or BOUNDARIES:
        rules[name] = f"# {today}\n" + _write_rule(name, samples[name])
    TARGET.write_text(_HEAD + "\n".join(rules[name] for name in BOUNDARIES), encoding="utf-8")
    return 0


def _read_rules(text: str) -> dict[str, str]:
    """The rules as they stand in the file, each with the day above it."""
    found = re.finditer(
        r"^# [\w ,-]+\n(\w+): EdgeRule = make_rule\(.*?^\)\n", text, re.DOTALL | re.MULTILINE
    )
    return {match[1]: match[0] for match in found}


def fit_rule(samples: EdgeSamples, rate_hz: float) -> FloatArray:
    """Weights of one half of a rule, in samples at that rate."""
    features, targets = np.array(samples.features), np.array(samples.targets)
    weights = np.array(samples.weights)
    near = np.abs(targets) * 1000.0 / rate_hz < MOST_ERROR_MS
    features, targets, weights = features[near], targets[near], weights[near]
    per_ms = rate_hz / 1000.0
    penalty = np.full(features.shape[1], PENALTY_MS2 * per_ms**2)
    penalty[:2] = 0.0, 0.1 * penalty[1]
    current, rule = weights, np.zeros(features.shape[1])
    for _ in range(ITERATIONS):
        scaled = features * current[:, None]
        normal = scaled.T @ features + np.diag(penalty) * weights.sum()
        rule = np.linalg.solve(normal, scaled.T @ targets)
        error = np.abs(targets - features @ rule)
        current = weights * np.minimum(1.0, HUBER_MS * per_ms / np.maximum(error, 1e-6))
    return rule


def _write_rule(name: str, samples: RuleSamples) -> str:
    rate_hz = BOUNDARIES[name][2]
    lead = _write_weights(fit_rule(samples.lead, rate_hz))
    overall = _write_weights(fit_rule(samples.overall, rate_hz))
    return f"{name}: EdgeRule = make_rule(\n    lead=({lead}),\n    overall=({overall}),\n)\n"


def _write_weights(rule: FloatArray) -> str:
    lines = [rule[start : start + 8] for start in range(0, rule.shape[0], 8)]
    body = "".join(f"\n        {', '.join(f'{value:.4f}' for value in line)}," for line in lines)
    return body + "\n    "


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
