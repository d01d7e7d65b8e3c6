"""Print how far the fast kernel lands from the same equations under SciPy's DOP853.

Usage: ``python tools/compare_with_dop853.py [throws] [seed]``
"""

from __future__ import annotations

import sys

import numpy as np

from rimwise.flight.compare import landing_differences_m, realistic_throws


def main(count: int = 1000, seed: int = 1) -> None:
    """Throw ``count`` realistic throws and print the percentiles of the differences."""
    differences = landing_differences_m(realistic_throws(np.random.default_rng(seed), count))
    middle, most = np.percentile(differences, [50, 99]) * 1000
    print(
        f"{count} realistic throws: median {middle:.2f} mm, 99 % within {most:.1f} mm, "
        f"largest {differences.max() * 1000:.1f} mm"
    )


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]))
