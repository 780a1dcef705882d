"""Fingerprint of henry.toml."""

from tersum.catalogue.load import table


def test_rows_and_sums():
    values = {name: (entry["solubility"].number, entry["slope"].number) for name, entry in table("henry").items()}
    assert values == {"acetic acid": (4.1e3, 6300.0), "hydrogen peroxide": (8.3e4, 7400.0),
                      "peracetic acid": (8.4e2, 5300.0), "ammonia": (60.0, 4200.0)}


def test_what_was_not_read_does_not_say_it_was():
    known = {value.known for entry in table("henry").values() for value in entry.values.values()}
    assert known == {"secondary", "memory"}
    assert table("henry")["acetic acid"]["boiling"].known == "memory"
