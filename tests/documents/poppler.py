"""Poppler's own programs as referees: what a PDF says to a program that is not ours."""

import re
import shutil
import subprocess

import pytest


def poppler(tool, *args):
    """Run one of poppler's programs and return what it prints."""
    if shutil.which(tool) is None:
        pytest.fail(f"{tool} is missing: apt-get install poppler-utils (make test does so)", pytrace=False)
    done = subprocess.run([tool, *map(str, args)], capture_output=True, text=True, timeout=120)
    return done.stdout


def text_of(pdf, tmp_path, *options):
    """Return the text of a PDF with its blanks made single."""
    path = tmp_path / "read.pdf"
    path.write_bytes(pdf)
    return re.sub(r"\s+", " ", poppler("pdftotext", *options, path, "-"))


def pages_of(pdf, tmp_path):
    """Return how many pages a PDF has, and the size of the first."""
    path = tmp_path / "read.pdf"
    path.write_bytes(pdf)
    said = poppler("pdfinfo", path)
    return int(re.search(r"Pages:\s+(\d+)", said)[1]), re.search(r"Page size:\s+(.*)", said)[1]


def signature_of(pdf, tmp_path):
    """Return what pdfsig says; its exit code says nothing."""
    path = tmp_path / "read.pdf"
    path.write_bytes(pdf)
    return poppler("pdfsig", path)
