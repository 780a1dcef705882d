"""Refusals in one sentence, with the numbers of what is accepted as people type them."""

import pytest

from tersum.errors import N_, OutOfRange


@pytest.mark.parametrize(("most", "shown"), [
    (1e9, "1000000000"), (1e6, "1000000"), (2.5e-5, "0.000025"), (1234567.0, "1234570"), (12.5, "12.5"),
    (1e30, "1e+30")])
def test_accepted_range_has_no_exponent(most, shown):
    said = str(OutOfRange("volume_ml", "-1", N_("above 0, to {most:g}"), most=most))
    assert said == f"volume_ml is out of range: got -1; accepted: above 0, to {shown}."


def test_numbers_in_sentences_keep_their_format():
    assert str(OutOfRange("a", "b", N_("{low:.2f} to {high:.1%}"), low=0.5, high=0.25)).endswith("0.50 to 25.0%.")


def test_number_that_is_asked_for_in_powers_of_ten_keeps_them():
    assert str(OutOfRange("counts", 1, N_("{low:.2e} or more"), low=1.5e8)).endswith("accepted: 1.50e+08 or more.")
