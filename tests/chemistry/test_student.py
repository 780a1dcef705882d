"""Student's t against the printed table."""

import math

import pytest

from tersum.chemistry.student import t_factor
from tersum.errors import OutOfRange


@pytest.mark.parametrize(("confidence", "freedom", "printed"), [
    (0.95, 1, 12.706), (0.95, 2, 4.303), (0.95, 10, 2.228), (0.90, 3, 2.353), (0.99, 30, 2.750),
    (0.95, math.inf, 1.960)])
def test_factor_is_that_of_the_table(confidence, freedom, printed):
    assert t_factor(confidence, freedom) == pytest.approx(printed, abs=0.001)


@pytest.mark.parametrize(("confidence", "freedom"), [(1.0, 3), (0.0, 3), (0.95, 0), (0.95, math.nan)])
def test_what_is_no_confidence_or_freedom_is_refused(confidence, freedom):
    with pytest.raises(OutOfRange):
        t_factor(confidence, freedom)
