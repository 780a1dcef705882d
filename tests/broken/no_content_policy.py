"""Sends pages without their content security policy."""

from tersum.web import headers

WHAT = "answers carry no content security policy"
BREAKS = ["tests/web/test_headers.py::test_every_page_carries_the_headers",
          "tests/web/test_headers.py::test_errors_carry_the_headers"]


def apply(monkeypatch):
    kept = {name: value for name, value in headers.ALWAYS.items() if name != "content-security-policy"}
    monkeypatch.setattr(headers, "ALWAYS", kept)
