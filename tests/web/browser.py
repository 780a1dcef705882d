"""Debian's Chromium on the pages as they are served, looked at as a phone and as a desk."""

import re
import shutil
import socket
import threading
import time
from contextlib import contextmanager

import uvicorn
from playwright.sync_api import sync_playwright

FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
         "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage")
PHONE = {"width": 390, "height": 844}


@contextmanager
def chromium():
    """Give a browser; no test is left out for want of one."""
    path = shutil.which("chromium")
    assert path, "chromium is missing: make test installs it"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield browser
        browser.close()


@contextmanager
def served(app):
    """Serve pages on a free port of this machine; give their address."""
    with socket.socket() as here:
        here.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(app, log_level="error"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [here]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield f"http://127.0.0.1:{here.getsockname()[1]}"
        server.should_exit = True
        thread.join(timeout=10)


@contextmanager
def looking(browser, address, **more):
    """Give a page whose every request stays at one address and which reports no error at all."""
    context = browser.new_context(viewport=PHONE, has_touch=True, **more)
    page = context.new_page()
    told, asked = [], []
    page.on("console", lambda message: told.append(message.text) if message.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: told.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    yield page
    context.close()
    assert not [one for one in told if not re.search("status of (404|422)", one)], told
    assert asked and all(one.startswith(address) for one in asked), asked
