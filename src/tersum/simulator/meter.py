"""A simulated meter: what its display shows of the light it meets, and what that display bounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tersum.errors import N_, OutOfRange

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Meter:
    """An invented meter that shows whole numbers between a detection level and the top of its range, RLU.

    ``spread_log10`` is the true repeatability of one swab read by it: meter, swab and swabbing together.
    """

    spread_log10: float = 0.205
    detection_rlu: int = 5
    over_range_rlu: int = 99999

    def __post_init__(self) -> None:
        if not 0.0 < self.spread_log10 <= 2.0:
            raise OutOfRange("spread_log10", self.spread_log10, N_("above 0, to 2"))
        if not 1 <= self.detection_rlu < self.over_range_rlu:
            raise OutOfRange("detection_rlu", self.detection_rlu, N_("1 or more, and below the top of the range"))

    def bounds(self, signal_rlu: npt.ArrayLike) -> tuple[Array, Array]:
        """Return what the display tells of the signal: equal bounds for a shown number, else an inequality.

        Examples
        --------
        >>> low, high = Meter().bounds([3.2, 411.6, 2e6])
        >>> low.tolist(), high.tolist()
        ([0.0, 412.0, 99999.0], [5.0, 412.0, inf])
        """
        number = np.rint(np.asarray(signal_rlu, dtype=np.float64))
        low, high = number.copy(), number
        below, over = number < self.detection_rlu, number > self.over_range_rlu
        low[below], high[below] = 0.0, self.detection_rlu
        low[over], high[over] = self.over_range_rlu, np.inf
        return low, high

    def shown(self, signal_rlu: npt.ArrayLike) -> list[str]:
        """Return what stands on the display.

        Examples
        --------
        >>> Meter().shown([3.2, 411.6, 2e6])
        ['<5', '412', '>99999']
        """
        low, high = (bound.ravel().tolist() for bound in self.bounds(signal_rlu))
        return [f"<{top:.0f}" if bottom == 0.0 else f">{bottom:.0f}" if top == np.inf else f"{top:.0f}"
                for bottom, top in zip(low, high, strict=True)]
