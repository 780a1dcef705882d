"""``tersum serve``: the pages on this machine only, and one sentence where they cannot be."""

import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request

import pytest


def serve(*words, **more):
    return subprocess.Popen([sys.executable, "-m", "tersum", "serve", *words], stdout=subprocess.PIPE,
                            stderr=subprocess.PIPE, text=True, **more)


def free_port():
    with socket.socket() as here:
        here.bind(("127.0.0.1", 0))
        return here.getsockname()[1]


def answer(port, path="/", tries=100):
    """Return a page once the program answers."""
    for _ in range(tries):
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=5) as page:
                return page.read().decode()
        except urllib.error.URLError:
            time.sleep(0.1)
    raise AssertionError("no answer")


@pytest.fixture
def server(tmp_path):
    port = free_port()
    running = serve("--port", str(port), "--home", str(tmp_path / "data"))
    running.port = port
    yield running
    running.kill()
    running.communicate()


def test_pages_are_served_to_this_machine_and_a_signal_stops_them(server, tmp_path):
    assert "Today&#39;s visits" in answer(server.port)
    with pytest.raises(OSError), socket.create_connection((_other_address(), server.port), timeout=2):
        pass
    server.send_signal(signal.SIGINT)
    out, err = server.communicate(timeout=20)
    assert f"http://127.0.0.1:{server.port}" in out and str(tmp_path / "data") in out
    assert "Traceback" not in err


def _other_address():
    """Return an address of this machine that is not its loopback one; a made-up one where it has none."""
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(("192.0.2.1", 9))  # sends nothing: it only asks which address would be used
            return probe.getsockname()[0]
    except OSError:
        return "192.0.2.1"


def test_port_in_use_is_told_in_one_sentence_with_a_next_step(server, tmp_path):
    answer(server.port)
    other = serve("--port", str(server.port), "--home", str(tmp_path / "other"))
    out, err = other.communicate(timeout=20)
    assert other.returncode == 6 and out == ""
    assert err == (f"Port {server.port} is in use, perhaps by Tersum itself: open http://127.0.0.1:{server.port}, or "
                   f"choose another with --port.\n")


def test_port_that_is_none_is_a_misuse():
    other = serve("--port", "0")
    assert other.communicate(timeout=20)[1].count("--port") and other.returncode == 2


@pytest.mark.parametrize("kind", ["nowhere", "a file", "read-only"])
def test_data_folder_that_cannot_be_written_is_told_in_one_sentence_with_a_next_step(tmp_path, kind):
    folder = tmp_path / "data"
    if kind == "nowhere":
        folder = "/proc/none"
    elif kind == "a file":
        folder.write_text("no folder")
    else:
        folder.mkdir(mode=0o555)
        for parent in list(folder.parents)[:3]:
            parent.chmod(parent.stat().st_mode | 0o055)
    refused = subprocess.run([sys.executable, "-c", AS_NOBODY, "serve", "--port", str(free_port()), "--home",
                              str(folder)], capture_output=True, text=True, timeout=30)
    assert refused.returncode == 7 and refused.stdout == "", refused.stderr
    assert refused.stderr.count("\n") == 1 and "cannot be written (" in refused.stderr
    assert "name another with --home." in refused.stderr


# Nothing is read-only for root, so root becomes nobody once everything is imported.
AS_NOBODY = """
import os, sys
import uvicorn, tersum.cli.main, tersum.cli.serve, tersum.records.home, tersum.web.app
if os.getuid() == 0:
    os.seteuid(65534)
tersum.cli.main.run(sys.argv[1:])
"""
