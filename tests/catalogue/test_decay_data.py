"""Fingerprint of decay.toml: what it says of each system, and that no rate poses as a use-by."""

from tersum.catalogue.load import table


def test_values_are_those_of_their_sources():
    values = {name: {key: entry[key].number for key in entry} for name, entry in table("decay").items()}
    assert values["peracetic acid 25 °C"] == {"rate": 1.71e-3, "activation_energy": 66.2}
    assert values["peracetic acid 45 °C"] == {"rate": 9.64e-3}
    assert [values[f"peracetic acid in buffer, pH {ph}"]["half_life"] for ph in (4, 7, 9)] == [48.0, 48.0, 3.6]
    assert values["sodium hypochlorite"] == {"order": 2, "activation_energy": 24.8}
    assert values["hypochlorous acid"] == {"order": 3, "fastest_ph": 6.89}
    assert len(values) == 11


def test_every_rate_names_its_temperature_and_order():
    for entry in table("decay").values():
        for key in {"rate", "half_life"} & set(entry):
            assert {"at_c", "order"} <= set(entry[key].details)
