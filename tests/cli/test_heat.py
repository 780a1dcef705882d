"""``tersum heat``: doses of traces, times to hold, z, steam; what is wrong with a trace is said and never bridged."""

import pytest

from cli.bench import call, fields, told


@pytest.fixture
def trace(tmp_path):
    def write(text, name="trace.csv"):
        path = tmp_path / name
        path.write_text(text)
        return str(path)
    return write


@pytest.fixture
def steady(trace):
    return trace("time_s,temp_c\n" + "".join(f"{at},80\n" for at in range(0, 601, 10)))


@pytest.mark.parametrize(("wanted", "sensor", "code", "answer"), [
    ("600", None, 0, "reached"), ("600.5", None, 1, "not-reached"), ("600", "1", 1, "cannot-tell"),
    ("470", "1", 0, "reached"), ("800", "1", 1, "not-reached")])
def test_dose_is_held_against_what_was_wanted_with_the_sensor_in_view(capsys, steady, wanted, sensor, code, answer):
    words = ["heat", "trace", steady, "--wanted", wanted, *(("--sensor-u-k", sensor) if sensor else ())]
    left, body = told(capsys, *words)
    assert (left, body["answer"]) == (code, answer) and body["sensors"][0]["dose"] == pytest.approx(600.0)
    assert call(capsys, *words)[0] == code


def test_nothing_is_ever_said_about_spores(capsys, steady):
    for wanted in ("60", "600", "3000"):
        _, out, err = call(capsys, "heat", "trace", steady, "--wanted", wanted, "--sensor-u-k", "0.5")
        assert "spore" not in (out + err).lower() and "spori" not in (out + err).lower()
        assert "no disinfection to a standard" in err and "label" in err


def test_gap_spike_and_boil_are_said(capsys, trace):
    rows = [(at, 80.0) for at in range(0, 100, 5)]
    rows[0], rows[5], rows[9:12] = (0, 20.0), (25, 140.0), [(at, 110.0) for at in (45, 50, 55)]
    rows += [(at, 80.0) for at in range(300, 400, 5)]
    path = trace("time_s,temp_c\n" + "".join(f"{at},{temp}\n" for at, temp in rows))
    out = call(capsys, "heat", "trace", path)[1]
    assert "205 s lie in gaps" in out and "1 sample stands far off" in out and "hotter than water boils" in out


def test_trace_never_hot_enough_is_nothing_and_says_so(capsys, trace):
    code, out, _ = call(capsys, "heat", "trace", trace("time_s,temp_c\n0,40\n10,60\n20,64\n"), "--wanted", "60")
    assert code == 1 and "never came to 65 °C" in out and "64 °C at most" in out


def test_fahrenheit_is_asked_about_and_may_be_said(capsys, trace):
    text = "time_s,{}\n0,68\n10,176\n20,203\n"
    code, body = told(capsys, "heat", "trace", trace(text.format("temp_c")))
    assert code == 3 and body["faults"][0]["code"] == "fahrenheit" and "°F" in body["sentence"]
    body = told(capsys, "heat", "trace", trace(text.format("temp_f")))[1]
    assert body["sensors"][0]["hottest_c"] == pytest.approx(95)
    assert call(capsys, "heat", "trace", trace(text.format("temp_c")), "--it-is-celsius")[0] == 0


def test_trace_in_toml_is_read_too(capsys, trace):
    path = trace("time_min = [0, 1, 2]\ntemp_c = [80, 80.0, 80]\n", "trace.toml")
    assert told(capsys, "heat", "trace", path)[1]["sensors"][0]["dose"] == pytest.approx(120.0)
    path = trace("time_s = [0, 1]\ntime_min = [0, 1]\ntemp_c = 80\nx = 1\n", "trace.toml")
    code, body = told(capsys, "heat", "trace", path)
    assert code == 3 and len(body["faults"]) == 3


def test_steam_under_pressure_is_counted_in_minutes_without_a_cap(capsys, trace):
    path = trace("time_min,temp_c\n0,121\n1,121\n2,121\n3,121\n")
    assert told(capsys, "heat", "trace", path, "--dose", "F0")[1]["sensors"][0]["dose"] == pytest.approx(3.0)


def test_all_faults_of_the_options_come_at_once(capsys, steady):
    code, body = told(capsys, "heat", "trace", steady, "--wanted", "x", "--sensor-u-k", "1e2", "--cap-c", "")
    assert code == 3 and set(fields(body)) == {"--wanted", "--sensor-u-k", "--cap-c"}


def test_time_to_hold_in_any_unit_of_temperature(capsys):
    for temp in ("90", "194 F", "363.15 K"):
        assert told(capsys, "heat", "hold", "--wanted", "600", "--temp-c", temp)[1]["hold_s"] == pytest.approx(60.0)
    out = call(capsys, "heat", "hold", "--wanted", "600", "--temp-c", "90", "--sensor-u-k", "1")[1]
    assert "for 60 s" in out and "75.6 s" in out


@pytest.mark.parametrize("temp", ["60", "194", "x"])
def test_time_to_hold_where_nothing_counts_is_refused(capsys, temp):
    code, body = told(capsys, "heat", "hold", "--wanted", "600", "--temp-c", temp)
    assert code == 3 and fields(body) == ["--temp-c"]


def test_z_says_where_it_holds(capsys):
    code, out, _ = call(capsys, "heat", "z", "--d", "98=18", "--d", "105=1.4")
    assert code == 0 and "z = 6.31 K" in out and "98 to 105" in out
    assert call(capsys, "heat", "z", "--d", "98=18")[0] == 3


def test_steam_on_heavy_metal_is_nothing_and_on_plastic_an_interval(capsys):
    code, out, err = call(capsys, "heat", "steam", "aluminium", "--dwell-s", "5")
    assert code == 0 and "no A0 at all" in out and "Assumed" in err and "thermocouple" in err
    body = told(capsys, "heat", "steam", "hard plastic", "--footprint-cm", "5", "--speed-cm-s", "1")[1]
    assert body["dwell_s"] == 5.0 and body["dose"][0] < body["dose"][1] and body["hot_enough"] is True


def test_steam_without_a_dwell_or_material_is_refused(capsys):
    assert call(capsys, "heat", "steam", "glass")[0] == 2
    assert call(capsys, "heat", "steam", "glass", "--dwell-s", "5", "--footprint-cm", "1", "--speed-cm-s", "1")[0] == 2
    assert call(capsys, "heat", "steam", "marble", "--dwell-s", "5")[0] == 3
