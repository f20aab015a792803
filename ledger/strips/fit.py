"""Fit yields to treatments and blocks by least squares (numpy), judged by scipy's distributions.

scipy.special alone is loaded: scipy.stats or a statistics package would take longer than the
whole balance. tests/test_strips.py holds the results against statsmodels.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import permutations
from math import fsum, sqrt
from typing import Any

MOST_BLOCKS = 200  # beyond this a strip trial is not the way to find out
POWER = 0.8  # usual aim: four trials in five find a difference that is there


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """The difference of two treatments with its error, interval and p-value."""

    difference: float
    standard_error: float
    low: float
    high: float
    p_value: float

    @property
    def bounds(self) -> tuple[float, float, float]:
        """Difference, lower and upper bound."""
        return self.difference, self.low, self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A fitted trial; all None and empty where it has no error to measure by."""

    confidence: float
    mean: float | None = None
    cv_pct: float | None = None
    lsd: float | None = None
    p_treatments: float | None = None
    error: float | None = None
    error_df: float = 0.0
    blocks: int = 0
    effects: Mapping[tuple[str, str], Effect] = field(default_factory=dict)

    def blocks_for(self, wished: float) -> int | None:
        """Blocks of pairs that would tell a wished difference (power 0.8), None if very many.

        Two-sided paired t test on differences whose standard deviation is
        sqrt(2 x error mean square); power from the noncentral t distribution.
        """
        if not self.error or wished <= 0:
            return None
        from scipy.special import nctdtr, stdtrit

        effect = wished / sqrt(2 * self.error)
        for blocks in range(2, MOST_BLOCKS + 1):
            df, shift = blocks - 1, effect * sqrt(blocks)
            bound = stdtrit(df, (1 + self.confidence) / 2)
            missed = nctdtr(df, shift, bound) - nctdtr(df, shift, -bound)
            if 1 - missed >= POWER:
                return blocks
        return None


def fit_blocks(
    yields: Sequence[float],
    treatments: Sequence[str],
    blocks: Sequence[str],
    confidence: float,
) -> Fit:
    """Least-squares fit of yield = treatment + block; works with lost strips.

    Parameters are parallel lists, one item a harvested strip; ``confidence`` is 0.95 and the
    like. Differences, errors and p-values are those of the model; CV = 100 sqrt(error mean
    square) / mean; LSD = t x sqrt(2 x error mean square / blocks), blocks being the mean number
    of strips a treatment. Reference: randomised complete block analysis, UF00080557 p. 55.
    """
    mean = fsum(yields) / len(yields) if yields else None
    names = list(dict.fromkeys(treatments))
    if len(names) < 2 or len(set(blocks)) < 2:
        return Fit(confidence=confidence, mean=mean)
    design = _design(treatments, blocks)
    error, df = _error(design, yields)
    if df < 1 or error <= 0:
        return Fit(confidence=confidence, mean=mean)
    return Fit(
        confidence=confidence,
        mean=mean,
        cv_pct=100 * sqrt(error) / mean if mean else None,
        lsd=_t_value(confidence, df) * sqrt(2 * error * len(names) / len(treatments)),
        p_treatments=_p_treatments(yields, blocks, names, error, df),
        error=error,
        error_df=df,
        blocks=len(set(blocks)),
        effects={
            pair: effect
            for pair in permutations(names, 2)
            if (effect := _effect(design, yields, names, pair, error, df, confidence))
        },
    )


def _design(treatments: Sequence[str], blocks: Sequence[str]) -> Any:
    """One column a treatment, then one a block but the first: 1 where the strip has it."""
    import numpy as np

    names = list(dict.fromkeys(treatments))
    places = list(dict.fromkeys(blocks))[1:]
    rows = [
        [*(t == name for name in names), *(b == place for place in places)]
        for t, b in zip(treatments, blocks, strict=True)
    ]
    return np.array(rows, dtype=float)


def _error(design: Any, yields: Sequence[float]) -> tuple[float, int]:
    """Error mean square and its degrees of freedom."""
    import numpy as np

    y = np.array(yields)
    params, _, rank, _ = np.linalg.lstsq(design, y, rcond=None)
    df = len(yields) - int(rank)
    rest = y - design @ params
    scale = float(y @ y)
    square = float(rest @ rest)
    return (square / df if df and square > scale * 1e-24 else 0.0), df


def _t_value(confidence: float, df: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(df, (1 + confidence) / 2))


def _p_treatments(
    yields: Sequence[float], blocks: Sequence[str], names: Sequence[str], error: float, df: int
) -> float:
    """p of the F test that all treatments are alike, blocks allowed for."""
    from scipy.special import fdtrc

    without, rest_df = _error(_design(["all"] * len(blocks), blocks), yields)
    more = rest_df - df
    return float(fdtrc(more, df, (without * rest_df - error * df) / more / error))


def _effect(
    design: Any,
    yields: Sequence[float],
    names: Sequence[str],
    pair: tuple[str, str],
    error: float,
    df: int,
    confidence: float,
) -> Effect | None:
    """The contrast of two treatments, or None when the strips left cannot tell them apart."""
    import numpy as np
    from scipy.special import stdtr

    contrast = np.zeros(design.shape[1])
    contrast[names.index(pair[0])], contrast[names.index(pair[1])] = 1.0, -1.0
    inverse = np.linalg.pinv(design)
    if not np.allclose(contrast @ inverse @ design, contrast):
        return None
    difference = float(contrast @ inverse @ np.array(yields))
    standard_error = sqrt(error * float(contrast @ inverse @ inverse.T @ contrast))
    reach = _t_value(confidence, df) * standard_error
    return Effect(
        difference=difference,
        standard_error=standard_error,
        low=difference - reach,
        high=difference + reach,
        p_value=float(2 * stdtr(df, -abs(difference / standard_error))),
    )
