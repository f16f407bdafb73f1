"""Holds our statistics against scipy and statsmodels.

Reads lines {"function", "inputs", "value"} from standard input, computes each value again, and prints for each function
the number of cases and the largest difference. Ends with status 1 if a difference exceeds the function's tolerance, a
function is unknown, or has fewer than the wanted number of cases (first argument; 500 if there is none).

    cargo run -p longrail-stats --example grid -- 500 | python3 crates/stats/tests/reference_python/compare.py
"""

import json
import math
import sys
import warnings

from scipy import integrate, optimize, special, stats
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint


def interval(method, end):
    def value(i):
        return proportion_confint(i["s"], i["n"], alpha=1 - i["level"], method=method)[end]

    return value


def newcombe(end):
    def value(i):
        # statsmodels compares the first with the second; ours is the second less the first.
        return confint_proportions_2indep(
            i["s2"], i["n2"], i["s1"], i["n1"], method="newcomb", compare="diff", alpha=0.05
        )[end]

    return value


def confidence_sequence(end):
    def value(i):
        s, n = i["s"], i["n"]
        f = n - s
        bar = special.betaln(s + 1, f + 1) + math.log1p(-i["level"])

        def gap(p):
            return special.xlogy(s, p) + special.xlog1py(f, -p) - bar

        if end == 0:
            return 0.0 if s == 0 else optimize.brentq(gap, 0 if s == 0 else 1e-300, s / n, xtol=1e-14)
        return 1.0 if f == 0 else optimize.brentq(gap, s / n, 1 - 1e-16, xtol=1e-14)

    return value


def chance_greater(i):
    a, b = i["s1"] + 0.5, i["n1"] - i["s1"] + 0.5
    c, d = i["s2"] + 0.5, i["n2"] - i["s2"] + 0.5
    # Over the probability of the first rate, so that the density needs no care at its ends. Cut where the second rate
    # has its mass, far tails included, or the quadrature misses a narrow one.
    cuts = [1e-12, 1e-9, 1e-6, 1e-3, 0.1, 0.5, 0.9, 1 - 1e-3, 1 - 1e-6, 1 - 1e-9, 1 - 1e-12]
    edges = sorted({0.0, 1.0, *(float(special.betainc(a, b, special.betaincinv(c, d, cut))) for cut in cuts)})

    def above(u):
        return special.betaincc(c, d, special.betaincinv(a, b, u))

    return sum(integrate.quad(above, low, high, epsabs=1e-11, limit=200)[0] for low, high in zip(edges, edges[1:]))


def relative(tolerance):
    return lambda ours, theirs: abs(ours - theirs) / max(abs(theirs), 1e-200) / tolerance


def absolute(tolerance):
    return lambda ours, theirs: abs(ours - theirs) / tolerance


# Function: (theirs, difference in units of what is allowed).
FUNCTIONS = {
    "wilson_low": (interval("wilson", 0), absolute(1e-12)),
    "wilson_high": (interval("wilson", 1), absolute(1e-12)),
    "jeffreys_low": (interval("jeffreys", 0), relative(1e-9)),
    "jeffreys_high": (interval("jeffreys", 1), relative(1e-9)),
    "clopper_pearson_low": (interval("beta", 0), relative(1e-9)),
    "clopper_pearson_high": (interval("beta", 1), relative(1e-9)),
    "posterior_above": (
        lambda i: stats.beta.sf(i["target"], i["s"] + 0.5, i["n"] - i["s"] + 0.5),
        relative(1e-9),
    ),
    "confidence_sequence_low": (confidence_sequence(0), absolute(1e-11)),
    "confidence_sequence_high": (confidence_sequence(1), absolute(1e-11)),
    "chance_greater": (chance_greater, absolute(1e-8)),
    "newcombe_low": (newcombe(0), absolute(1e-12)),
    "newcombe_high": (newcombe(1), absolute(1e-12)),
    "fisher": (
        lambda i: stats.fisher_exact([[i["s1"], i["n1"] - i["s1"]], [i["s2"], i["n2"] - i["s2"]]])[1],
        absolute(1e-9),
    ),
    "beta_cdf": (lambda i: stats.beta.cdf(i["x"], i["a"], i["b"]), relative(1e-9)),
    "beta_quantile": (lambda i: stats.beta.ppf(i["p"], i["a"], i["b"]), relative(1e-9)),
    "binomial_at_least": (lambda i: stats.binom.sf(i["k"] - 1, i["n"], i["p"]), relative(1e-9)),
    "normal_quantile": (lambda i: stats.norm.ppf(i["p"]), absolute(1e-12)),
    "student_cdf": (lambda i: stats.t.cdf(i["t"], i["freedom"]), relative(1e-9)),
    "student_quantile": (lambda i: stats.t.ppf(i["p"], i["freedom"]), absolute(1e-8)),
    "chi_square_quantile": (lambda i: stats.chi2.ppf(i["p"], i["freedom"]), relative(1e-9)),
    "gamma_cdf": (lambda i: stats.gamma.cdf(i["x"], i["a"]), relative(1e-9)),
    "race_win": (lambda i: stats.nbinom.cdf(i["other"] - 1, i["own"], i["p"]), relative(1e-9)),
    "welch_p": (lambda i: stats.ttest_ind(i["a"], i["b"], equal_var=False).pvalue, relative(1e-9)),
    "window_chance": (
        lambda i: (1 - i["lapse"])
        * (
            stats.norm.cdf((i["half_width"] - i["bias"]) / i["spread"])
            - stats.norm.cdf((-i["half_width"] - i["bias"]) / i["spread"])
        ),
        absolute(1e-13),
    ),
}


def main():
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    warnings.simplefilter("ignore")
    cases = {name: 0 for name in FUNCTIONS}
    worst = {name: (0.0, None) for name in FUNCTIONS}
    unknown = set()
    for line in sys.stdin:
        case = json.loads(line)
        name = case["function"]
        if name not in FUNCTIONS:
            unknown.add(name)
            continue
        theirs, difference = FUNCTIONS[name]
        value = float(theirs(case["inputs"]))
        off = difference(case["value"], value)
        cases[name] += 1
        # Not a number is as far off as can be.
        if not off <= worst[name][0]:
            worst[name] = (off, (case["inputs"], case["value"], value))
    bad = False
    for name in FUNCTIONS:
        off, case = worst[name]
        good = off <= 1 and cases[name] >= wanted
        bad |= not good
        print(f"{name}: {cases[name]} cases, largest difference {off:.2g} of what is allowed", "" if good else "  <-- ")
        if not off <= 1:
            print("   ", case)
    for name in sorted(unknown):
        print(f"{name}: unknown function")
    sys.exit(1 if bad or unknown else 0)


if __name__ == "__main__":
    main()
