"""Print how far the fast kernel lands from the same equations under SciPy's DOP853.

Usage: ``python tools/compare_with_dop853.py [throws] [seed] [wobble_rad]``

Ten thousand throws take two to four minutes. The worst ones are described, because there is
always the same to say: long flights, or such that stall, in which small differences grow.
"""

from __future__ import annotations

import sys

import numpy as np

from rimwise.flight.compare import fly_throw, landing_differences_m, realistic_throws

WORST = 5


def main(count: int = 1000, seed: int = 1, wobble_rad: float = 0.0) -> None:
    """Throw realistic throws and print the percentiles of the differences and the worst."""
    throws = realistic_throws(np.random.default_rng(seed), count, wobble_rad=wobble_rad)
    differences_mm = landing_differences_m(throws) * 1000
    middle, many, most = np.percentile(differences_mm, [50, 99, 99.9])
    print(
        f"{count} realistic throws: median {middle:.2f} mm, 99 % within {many:.1f} mm, "
        f"99.9 % within {most:.1f} mm, largest {differences_mm.max():.1f} mm; "
        f"{np.mean(differences_mm <= 10):.2%} within a centimetre"
    )
    for k in np.argsort(-differences_mm)[:WORST]:
        _aero, _body, release, _air, wind = throws[k]
        flown = fly_throw(throws[k], "precession", points=200)
        print(
            f"  {differences_mm[k]:6.1f} mm: {release.speed_m_s:.0f} m/s, launch "
            f"{np.degrees(release.launch_rad):.0f}°, nose {np.degrees(release.nose_rad):.0f}°, "
            f"wind {wind.speed_m_s:.0f} m/s, {flown.time_s[-1]:.1f} s in the air, slowest "
            f"{np.linalg.norm(flown.velocity_m_s, axis=1).min():.1f} m/s"
        )


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]), *map(float, sys.argv[3:4]))
