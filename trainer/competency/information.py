"""How much one more drill is expected to tell."""

from __future__ import annotations

from math import log2


def entropy(share: float) -> float:
    """Return the uncertainty of a yes or no in bits."""
    if share <= 0 or share >= 1:
        return 0.0
    return -share * log2(share) - (1 - share) * log2(1 - share)


def information(known: float, *, guess: float, slip: float) -> float:
    """Return the bits that one answer is expected to tell about whether a skill is known.

    The mutual information of knowing and answering: H(L(1-S) + (1-L)G) - L H(S) - (1-L) H(G).
    """
    right = known * (1 - slip) + (1 - known) * guess
    told = entropy(right) - known * entropy(slip) - (1 - known) * entropy(guess)
    return max(0.0, told)


def variance(a: float, b: float) -> float:
    """Return the variance of a Beta(a, b): how unsure a share of right attempts is."""
    return a * b / ((a + b) ** 2 * (a + b + 1))


def variance_gain(right: int, failed: int) -> float:
    """Return by how much one more assessed attempt is expected to narrow the share of right ones.

    For a uniform prior the share is Beta(1 + right, 1 + failed); by the law of total variance the expected reduction is
    its variance / (a + b + 1).
    """
    a, b = 1 + right, 1 + failed
    return variance(a, b) / (a + b + 1)
