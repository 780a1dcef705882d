"""Laws of air in a closed space: mass is kept, and less ventilation never lets anybody in sooner."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from tersum.chemistry.air import Box, concentration_mg_m3, highest_mean_mg_m3, peak_mg_m3, source
from tersum.chemistry.exposure import Space, Task, air_of_task, clear_from_min

volumes = st.floats(1.0, 200.0)
changes = st.floats(0.0, 60.0)
mixings = st.floats(0.1, 1.0)
minutes = st.floats(1.0, 120.0)
strengths = st.fixed_dictionaries({"peracetic acid": st.floats(1.0, 3000.0), "acetic acid": st.floats(1.0, 5000.0)})


@given(volumes, changes, mixings, minutes, st.floats(1.0, 500.0))
def test_mass_that_went_in_is_in_the_air_or_was_taken_out(volume, per_h, mixing, until, at):
    box, given_source = Box(volume, per_h, mixing), source(100.0, until_min=until)
    exposed, _error = quad(lambda time: concentration_mg_m3(box, given_source, time), 0.0, at, limit=400,
                           points=[until] if until < at else None)
    taken_out = box.per_min * box.volume_m3 * exposed
    held = box.volume_m3 * concentration_mg_m3(box, given_source, at)
    assert held + taken_out == pytest.approx(given_source.emitted_mg(at), rel=1e-5, abs=1e-7)


@given(volumes, changes, changes, mixings, minutes, st.floats(0.0, 600.0), strengths)
def test_less_ventilation_never_lets_anybody_in_sooner(volume, one, other, mixing, work, drying, strength):
    more, less = max(one, other), min(one, other)
    found = [clear_from_min(air_of_task(Space(volume, rate, mixing), Task(100.0, work, drying), strength,
                                        limits="acgih-tlv")) for rate in (less, more)]
    assert found[0] >= found[1] - 1e-6


@given(volumes, changes, mixings, minutes)
def test_mean_is_never_above_the_peak(volume, per_h, mixing, until):
    box, given_source = Box(volume, per_h, mixing), source(100.0, until_min=until)
    assert highest_mean_mg_m3(box, given_source) <= peak_mg_m3(box, given_source)[0] * (1.0 + 1e-9)
