"""Believes the key that a bundle brings along."""

from tersum.records import bundle

WHAT = "a bundle signed by anybody is taken for the company's"
BREAKS = ["tests/records/test_bundle.py::test_only_a_trusted_key_is_believed",
          "tests/records/test_bundle.py::test_each_kind_of_damage_is_refused[other-key]"]


def apply(monkeypatch):
    monkeypatch.setattr(bundle, "_trusts", lambda trusted, key: True)
