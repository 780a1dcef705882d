"""``tersum serve``: the pages, for this machine only."""

from __future__ import annotations

import errno
import socket
import tempfile
from pathlib import Path

import click

from tersum.documents.text import _
from tersum.errors import N_, RecordLocked
from tersum.records.trouble import StorageStopped

HOST = "127.0.0.1"


class PortTaken(RecordLocked):
    """Another program listens on the port already."""

    code = "port-in-use"


@click.command(help=_("Show the visits in a browser, on this machine only."),
               epilog=_("Example: tersum serve --port 8000, then open http://127.0.0.1:8000. Stop it with Ctrl-C. Exit "
                        "codes: 6 the port is in use; 7 the data folder cannot be written."))
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True, metavar="N",
              help=_("The port to listen on."))
@click.option("--home", type=click.Path(path_type=Path), metavar="DIR",
              help=_("The data folder; TERSUM_HOME or this user's own if left out."))
def serve(port: int, home: Path | None) -> None:
    import uvicorn

    from tersum.records.home import data_home
    from tersum.records.occupied import occupied
    from tersum.web.app import create_app

    folder = home or data_home()
    check_writable(folder)
    with occupied(folder), listening(port) as here:
        click.echo(_("Visits: http://{host}:{port} (data in {folder}). Stop with Ctrl-C.").format(
            host=HOST, port=port, folder=folder))
        config = uvicorn.Config(create_app(folder), log_level="warning", access_log=False, server_header=False,
                                proxy_headers=False, timeout_graceful_shutdown=5)
        uvicorn.Server(config).run(sockets=[here])


def listening(port: int) -> socket.socket:
    """Return a socket that listens on a port of this machine, or say who is in the way."""
    here = socket.socket()
    here.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a port just left may be taken at once
    try:
        here.bind((HOST, port))
        here.listen(128)
    except OSError as trouble:
        here.close()
        if trouble.errno == errno.EADDRINUSE:
            raise PortTaken(N_("Port {value} is in use, perhaps by Tersum itself: open http://{host}:{value}, or "
                               "choose another with --port."), field="--port", value=str(port), host=HOST) from None
        raise PortTaken(N_("Port {value} cannot be used ({reason}): choose another with --port, such as 8000."),
                        field="--port", value=str(port), reason=trouble.strerror or trouble) from None
    return here


def check_writable(folder: Path) -> None:
    """Refuse a data folder that cannot be written, before anybody types something into a page."""
    from tersum.records.home import folder as made

    try:
        tempfile.TemporaryFile(dir=made(folder)).close()
        if (folder / "organisations").exists():
            tempfile.TemporaryFile(dir=folder / "organisations").close()
    except OSError as trouble:
        raise StorageStopped(N_("The data folder {value} cannot be written ({reason}). Check its owner and its "
                                "permissions, or name another with --home."), field="--home", value=str(folder),
                             reason=trouble.strerror or trouble) from None
