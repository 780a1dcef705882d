"""The recovery key: what backups are encrypted to; its secret half is kept away from the machine it backs up."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from tersum.errors import N_, OutOfRange, TersumError
from tersum.records.home import FILE_MODE, folder, keep_once, sync_folder
from tersum.records.trouble import Conflict, StorageStopped

if TYPE_CHECKING:
    from pyrage import x25519

PUBLIC_FILE = Path("backup") / "recovery-key.pub"


class NoRecoveryKey(TersumError):
    """No recovery key was made yet, or the one given is not one."""

    code = "no-recovery-key"
    exit_code = 4


def make_recovery_key(home: Path, secret_file: Path) -> str:
    """Make a recovery key: the secret half into a file of its own, the public half beside the data.

    Parameters
    ----------
    home : Path
        The data folder.
    secret_file : Path
        Where the secret half goes; it must not be there yet, and not lie in the data folder, where it would be lost
        with what it is to bring back.

    Returns
    -------
    str
        The public half, as it is kept.

    Raises
    ------
    OutOfRange
        If the secret would lie inside the data folder.
    Conflict
        If there is a key already, or the file is there already; nothing is changed then.
    """
    from pyrage import x25519  # noqa: PLC0415  one command in a hundred needs it

    if secret_file.resolve().is_relative_to(home.resolve()):
        raise OutOfRange("new-key", str(secret_file), N_("a place outside the data folder, best on another medium"))
    public_file = home / PUBLIC_FILE
    if public_file.exists():
        raise Conflict(N_("There is a recovery key already: {value}. Backups go on being encrypted to it. To start a "
                          "new one, move that file aside; older backups still need the old secret."),
                       field="new-key", value=str(public_file))
    identity = x25519.Identity.generate()
    public = str(identity.to_public())
    _keep_secret(secret_file, str(identity))
    folder(public_file.parent)
    if not keep_once(public_file, public):
        secret_file.unlink()
        raise Conflict(N_("Another program made a recovery key just now: {value}. Nothing was changed."),
                       field="new-key", value=str(public_file))
    return public


def recovery_recipient(home: Path) -> x25519.Recipient:
    """Return the public half that backups of this data folder are encrypted to.

    Raises
    ------
    NoRecoveryKey
        If none was made yet.
    StorageStopped
        If its file holds something else.
    """
    from pyrage import RecipientError, x25519  # noqa: PLC0415

    path = home / PUBLIC_FILE
    try:
        return x25519.Recipient.from_str(path.read_text(encoding="ascii", errors="replace").strip())
    except FileNotFoundError:
        raise NoRecoveryKey(N_("There is no recovery key yet, and no backup is written without one. Make it once: "
                               "tersum backup --new-key FILE, with FILE on another medium than {value}."),
                            field="backup", value=str(home)) from None
    except RecipientError:
        raise StorageStopped(N_("The file {value} holds no recovery key any more. Put it back from where the secret "
                                "half is kept, or move it aside and make a new one."),
                             field="backup", value=str(path)) from None


def recovery_identity(secret_file: Path) -> x25519.Identity:
    """Return the secret half from its file; lines that begin with # are passed over.

    Raises
    ------
    NoRecoveryKey
        If the file is missing or holds no secret half.
    """
    from pyrage import IdentityError, x25519  # noqa: PLC0415

    try:
        text = secret_file.read_text(encoding="ascii", errors="replace")
    except OSError as trouble:
        raise NoRecoveryKey(N_("The recovery key {value} cannot be read: {reason}."), field="key",
                            value=str(secret_file), reason=trouble.strerror or str(trouble)) from None
    lines = [line.strip() for line in text.splitlines() if line.strip() and not line.startswith("#")]
    try:
        if len(lines) != 1:
            raise IdentityError
        return x25519.Identity.from_str(lines[0])
    except IdentityError:
        raise NoRecoveryKey(N_("The file {value} holds no recovery key: one line that begins with AGE-SECRET-KEY- is "
                               "expected."), field="key", value=str(secret_file)) from None


def _keep_secret(path: Path, secret: str) -> None:
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_MODE)
    except FileExistsError:
        raise Conflict(N_("The file {value} is there already and is left as it is. Name another."),
                       field="new-key", value=str(path)) from None
    except OSError as trouble:
        raise StorageStopped(N_("The recovery key could not be written to {value}: {reason}."), field="new-key",
                             value=str(path), reason=trouble.strerror or str(trouble)) from None
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write("# Tersum recovery key. Without it no backup can be read. Keep it apart from the machine and from "
                   f"the backups.\n{secret}\n")
        file.flush()
        os.fsync(file.fileno())
    sync_folder(path.parent.resolve())
